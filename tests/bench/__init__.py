"""Speed as ratios: python -m tests.bench [SUBJECT] [--quick].

Each subject does what Practice Ledger does and the bare thing underneath in turns, in one run on one machine, and
prints how many times as long ours takes. Absolute figures depend on the machine and its other work; ratios hardly do.
What a phone feels has no bare thing beside it: those are figures of this machine.
"""
