"""What a coach chooses for a block: the parameters of its drill, and what its balls are drawn from."""

from practice.drills.models import Drill
from practice.planner.forms.blocks import SEEDS, BlockForm, ClubsForm, SeenForm, new_seed
from practice.planner.forms.swings import OneFaceForm, SwingsForm
from practice.planner.forms.targets import CheckDayForm, MixedForm, TargetsForm

__all__ = ["SEEDS", "BlockForm", "MixedForm", "SeenForm", "form_of", "new_seed"]

FORMS = {"random_target": MixedForm, "check_day": CheckDayForm}
"""The forms of kinds that ask for more than what they aim at."""
FORMS_OF_LOG = {"strike": OneFaceForm}
FORMS_OF_AIMS = {"targets": TargetsForm, "swings": SwingsForm, "spot": ClubsForm, "none": BlockForm}


def form_of(drill: Drill) -> type[BlockForm]:
    """Return the form for a block of a drill."""
    return FORMS.get(drill.kind) or FORMS_OF_LOG.get(drill.log) or FORMS_OF_AIMS[drill.aims]
