"""Who may sign in to the studio: accounts, their role, and the second factor that each may set up."""

import secrets
from dataclasses import dataclass
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.crypto import get_random_string
from django_otp import match_token
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from campaign.access import HELPERS
from campaign.errors import NotReady

ARTIST, HELPER = "artist", "helper"
SPARE_CODES = 10
READABLE = "23456789abcdefghjkmnpqrstvwxyz"  # read from paper and typed
WRONG = "This code does not fit. Take the newest one that the telephone shows; after a wrong one wait a few seconds."


@dataclass(frozen=True, slots=True)
class Factor:
    """Where an account stands: no second factor, one being set up with its key and address, or one in use."""

    is_on: bool
    key: str = ""
    address: str = ""
    spare_left: int = 0


@transaction.atomic(durable=True)
def give_account(*, name: str, role: str) -> str:
    """
    Make an account for somebody, or change the role and password of one there is. Returns the new password, said once.

    Writes: User. Raises: NotReady for a role that is neither artist nor helper, or a name that cannot be one.
    Repeat: a new password each time.
    """
    if role not in (ARTIST, HELPER):
        raise NotReady(f"{role!r} is no role; say {ARTIST} or {HELPER}.")
    users: Any = get_user_model()
    user = users.objects.filter(username=name).first() or users(username=name)
    user.is_staff, user.is_active = role == ARTIST, True
    user.is_superuser = user.is_superuser and role == ARTIST  # made by createsuperuser once, a helper now
    password = "-".join(get_random_string(5, READABLE) for _ in range(4))
    try:
        user.full_clean(exclude=["password"])
        validate_password(password, user)
    except ValidationError as fault:
        raise NotReady(" ".join(fault.messages)) from fault
    user.set_password(password)
    user.save()
    helpers, _ = Group.objects.get_or_create(name=HELPERS)
    user.groups.set([helpers] if role == HELPER else [])
    if role == HELPER:
        user.user_permissions.clear()
    return password


@transaction.atomic(durable=True)
def take_account(*, name: str) -> bool:
    """Let nobody in under this name any more; what they did stays. False if there is no such account. Repeat: same."""
    users: Any = get_user_model()
    return bool(users.objects.filter(username=name).update(is_active=False))


def read_factor(user: Any) -> Factor:
    """How the second factor of `user` stands."""
    device = TOTPDevice.objects.filter(user=user).order_by("-confirmed", "-pk").first()
    if device is None:
        return Factor(is_on=False)
    if device.confirmed:
        spare = StaticToken.objects.filter(device__user=user, device__confirmed=True).count()
        return Factor(is_on=True, spare_left=spare)
    return Factor(is_on=False, key=_readable_key(device), address=device.config_url)


def _readable_key(device: TOTPDevice) -> str:
    secret = device.config_url.partition("secret=")[2].partition("&")[0].rstrip("=")
    return " ".join(secret[at : at + 4] for at in range(0, len(secret), 4))


@transaction.atomic(durable=True)
def begin_factor(*, user: Any) -> Factor:
    """
    Make a key for an authenticator program (RFC 6238: 30 seconds, six digits); it counts once a code has confirmed it.

    Writes: TOTPDevice. Raises: NotReady while one is in use. Repeat: the same key until it is confirmed.
    """
    if TOTPDevice.objects.filter(user=user, confirmed=True).exists():
        raise NotReady("A second factor is set up already. Switch it off first, with one of its codes.")
    TOTPDevice.objects.get_or_create(user=user, confirmed=False, defaults={"name": "authenticator"})
    return read_factor(user)


def confirm_factor(*, user: Any, code: str, session_key: str) -> tuple[Any, list[str]]:
    """
    Switch the second factor on: `code` proves that the program has the key. Every other session of `user` ends.

    Returns: the device, and ten spare codes for a lost telephone, each good once; said only now.
    Writes: TOTPDevice, StaticDevice, StaticToken; deletes Session rows.
    Raises: NotReady for a wrong code, or where nothing was begun.
    """
    with transaction.atomic(durable=True):
        device = TOTPDevice.objects.select_for_update().filter(user=user, confirmed=False).first()
        fits = device is not None and device.verify_token(_digits(code))  # counts failures, so outside of any refusal
        codes = _switch_on(device, session_key=session_key) if fits else []
    if not codes:
        raise NotReady(WRONG)
    return device, codes


def _switch_on(device: Any, *, session_key: str) -> list[str]:
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    StaticDevice.objects.filter(user=device.user).delete()
    spare = StaticDevice.objects.create(user=device.user, name="spare codes", confirmed=True)
    codes = [f"{get_random_string(5, READABLE)}{secrets.choice(READABLE)}" for _ in range(SPARE_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=spare, token=code) for code in codes)
    for session in Session.objects.exclude(session_key=session_key):
        if session.get_decoded().get("_auth_user_id") == str(device.user_id):
            session.delete()
    return codes


def drop_factor(*, user: Any, code: str) -> None:
    """
    Switch the second factor off, with one of its own codes.

    Writes: deletes the devices. Raises: NotReady for a wrong code. Repeat: without one nothing happens.
    """
    if not TOTPDevice.objects.filter(user=user).exists():
        return
    if device_for(user, code=code) is None:
        raise NotReady(WRONG)
    forget_factor(user=user)


@transaction.atomic(durable=True)
def forget_factor(*, user: Any) -> int:
    """Switch the second factor off without a code: telephone and spare codes are lost. Returns 1 if there was one."""
    StaticDevice.objects.filter(user=user).delete()
    deleted, _ = TOTPDevice.objects.filter(user=user).delete()
    return int(deleted > 0)


def device_for(user: Any, *, code: str) -> Any:
    """The device of `user` whose code this is, spaces and capitals apart; None for a wrong one."""
    return match_token(user, _digits(code)) if code else None


def _digits(code: str) -> str:
    return "".join(code.split()).lower()
