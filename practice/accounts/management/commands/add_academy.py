"""python manage.py add_academy NAME --owner-name NAME --owner-email EMAIL"""

import getpass
import sys

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.core.validators import validate_email
from django.db import transaction
from django.utils.text import slugify

from practice.accounts.models import Academy, Membership, Role, User
from practice.accounts.zones import validate_time_zone
from practice.drills.actions import add_default_drills


class Command(BaseCommand):
    help = "Make an academy with its owner, who signs in and adds the rest. Asks for the owner's password."

    def add_arguments(self, parser):
        parser.add_argument("name")
        parser.add_argument("--owner-name", required=True)
        parser.add_argument("--owner-email", required=True)
        parser.add_argument("--time-zone", default="UTC", help="an IANA name such as Europe/London")

    def handle(self, *, name, owner_name, owner_email, time_zone, **options):
        slug = slugify(name)
        if not slug:
            raise CommandError("The academy's name needs at least one letter or digit.")
        if Academy.objects.filter(slug=slug).exists():
            raise CommandError(f"There is an academy {slug!r} already.")
        password = _ask_password()
        try:
            validate_email(owner_email)
            validate_time_zone(time_zone)
            validate_password(password)
        except ValidationError as fault:
            raise CommandError(" ".join(fault.messages)) from fault
        if User.objects.filter(email=owner_email.lower()).exists():
            raise CommandError(f"{owner_email} is the e-mail of another account; choose another one for the owner.")
        with transaction.atomic():
            academy = Academy.objects.create(name=name, slug=slug, time_zone=time_zone)
            owner = User.objects.create_user(name=owner_name, email=owner_email, password=password)
            Membership.objects.create(academy=academy, user=owner, role=Role.OWNER)
            add_default_drills(academy)
        self.stdout.write(f"Made the academy {slug}. {owner_email} is its owner.")


def _ask_password() -> str:
    """Ask at a terminal, without showing it; otherwise take the first line of standard input."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("Password for the owner: ")
    if getpass.getpass("The same again: ") != password:
        raise CommandError("The two differ; run the command again.")
    return password
