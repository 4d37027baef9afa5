"""Accounts, their roles and the second factor."""

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.models import Permission
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse
from django_otp.oath import TOTP
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from campaign.errors import NotReady
from campaign.services.accounts import (
    begin_factor,
    confirm_factor,
    drop_factor,
    forget_factor,
    give_account,
    read_factor,
    take_account,
)
from tests.builders import make_draft

PASSWORD = "a long enough password"


def code_of(user, *, steps=0):
    """What the telephone shows, `steps` half minutes from now."""
    device = TOTPDevice.objects.get(user=user)
    return f"{TOTP(device.bin_key, device.step, device.t0, device.digits, steps).token():06d}"


@pytest.fixture
def guarded(ada):
    """Ada with a second factor; her spare codes."""
    begin_factor(user=ada)
    return confirm_factor(user=ada, code=code_of(ada), session_key="")[1]


@pytest.fixture
def helper(db, django_user_model):
    give_account(name="hugo", role="helper")
    return django_user_model.objects.get(username="hugo")


def sign_in(client, **typed):
    return client.post(reverse("campaign:sign_in"), {"username": "ada", "password": PASSWORD, **typed})


def test_an_account_is_given_with_a_password_that_works(db, rf):
    password = give_account(name="hugo", role="helper")
    user = authenticate(rf.post("/"), username="hugo", password=password)
    assert user is not None
    assert (user.is_staff, user.is_superuser) == (False, False)
    assert list(user.groups.values_list("name", flat=True)) == ["helpers"]


def test_the_role_of_an_account_can_change(helper, django_user_model):
    give_account(name="hugo", role="artist")
    user = django_user_model.objects.get(username="hugo")
    assert (user.is_staff, user.groups.count(), django_user_model.objects.count()) == (True, 0, 1)


def test_a_helper_made_of_an_artist_keeps_no_right_of_theirs(db, django_user_model):
    ada = django_user_model.objects.create_superuser("ada", "ada@example.org", PASSWORD)
    ada.user_permissions.set(Permission.objects.all()[:3])
    give_account(name="ada", role="artist")
    ada.refresh_from_db()
    assert ada.is_superuser  # a new password for the same role takes nothing away
    give_account(name="ada", role="helper")
    ada.refresh_from_db()
    assert (ada.is_staff, ada.is_superuser, ada.user_permissions.count()) == (False, False, 0)
    assert not django_user_model.objects.get(username="ada").has_perm("campaign.view_pledge")


@pytest.mark.parametrize(
    ("name", "role"), [("hugo", "boss"), ("", "helper"), ("a b c", "helper"), ("x" * 200, "artist")]
)
def test_nonsense_makes_no_account(db, django_user_model, name, role):
    with pytest.raises(NotReady):
        give_account(name=name, role=role)
    assert not django_user_model.objects.exists()


def test_an_account_is_switched_off(helper, client):
    make_draft(state="open")
    client.force_login(helper)
    assert take_account(name="hugo") is True
    assert take_account(name="nobody") is False
    assert client.get(reverse("fulfilment:print", args=["tideline"])).status_code == 302


def test_a_helper_prints_and_sends_and_sees_nothing_else(helper, client):
    show = make_draft(state="open")
    client.force_login(helper)
    assert client.get(reverse("campaign:studio"))["Location"] == reverse("fulfilment:print", args=[show.code])
    for room in ("fulfilment:print", "fulfilment:send"):
        page = client.get(reverse(room, args=[show.code]))
        assert page.status_code == 200
        for word in ("cash", "Fund", "Settle", "Measure", "End printing", "€"):
            assert word not in page.content.decode(), (room, word)
    for room in ("campaign:standing", "campaign:fund", "campaign:pledges", "campaign:cash_book", "fulfilment:settle",
                 "fulfilment:end_printing", "fulfilment:hang", "campaign:measure"):  # fmt: skip
        assert client.get(reverse(room, args=[show.code])).status_code == 404, room
    assert client.post(reverse("fulfilment:send_notices", args=[show.code])).status_code == 404
    assert client.get(reverse("campaign:studio_details")).status_code == 404


def test_a_key_is_shown_until_a_code_confirms_it(ada):
    begun = begin_factor(user=ada)
    assert begin_factor(user=ada) == begun
    assert begun.address.startswith("otpauth://totp/Wallful")
    assert not read_factor(ada).is_on
    _, spare = confirm_factor(user=ada, code=code_of(ada), session_key="")
    assert len(set(spare)) == 10
    now = read_factor(ada)
    assert (now.is_on, now.spare_left, now.key) == (True, 10, "")
    with pytest.raises(NotReady, match="already"):
        begin_factor(user=ada)


def test_a_wrong_code_switches_nothing_on(ada):
    begin_factor(user=ada)
    wrong = f"{(int(code_of(ada)) + 1) % 1_000_000:06d}"
    with pytest.raises(NotReady):
        confirm_factor(user=ada, code=wrong, session_key="")
    assert not read_factor(ada).is_on


def test_guessing_is_slowed_down(ada):
    begin_factor(user=ada)
    for _ in range(3):
        with pytest.raises(NotReady):
            confirm_factor(user=ada, code="000000" if code_of(ada) != "000000" else "000001", session_key="")
    with pytest.raises(NotReady):
        confirm_factor(user=ada, code=code_of(ada), session_key="")


def test_name_and_password_are_not_enough_any_more(ada, guarded, client):
    refused = sign_in(client)
    assert refused.status_code == 200
    assert "The newest code is needed here." in refused.content.decode()
    assert "This code does not fit" in sign_in(client, code="nonsense").content.decode()
    assert "_auth_user_id" not in client.session


def test_a_wrong_password_says_nothing_of_the_second_factor(ada, guarded, client):
    page = client.post(reverse("campaign:sign_in"), {"username": "ada", "password": "wrong", "code": ""})
    assert "The newest code is needed" not in page.content.decode()


def test_the_next_code_lets_in_and_is_good_once(ada, guarded, client):
    code = code_of(ada, steps=1)
    assert sign_in(client, code=f" {code[:3]} {code[3:]} ").status_code == 302
    client.logout()
    assert sign_in(client, code=code).status_code == 200


def test_a_spare_code_lets_in_once(ada, guarded, client):
    make_draft(state="open")
    assert sign_in(client, code=guarded[0].upper()).status_code == 302
    assert client.get(reverse("campaign:standing", args=["tideline"])).status_code == 200
    client.logout()
    assert sign_in(client, code=guarded[0]).status_code == 200
    assert StaticToken.objects.count() == 9


def test_a_session_from_before_is_let_in_no_more(ada, guarded, ada_client):
    make_draft(state="open")
    assert ada_client.get(reverse("campaign:standing", args=["tideline"])).status_code == 404


def test_setting_it_up_in_the_browser_signs_the_others_out(ada, ada_client):
    make_draft(state="open")
    other = type(ada_client)()
    other.force_login(ada)
    url = reverse("campaign:second_factor")
    assert "Set it up" in ada_client.get(url).content.decode()
    assert "data:image/png" in ada_client.post(url, {"act": "begin"}).content.decode()
    assert "does not fit" in ada_client.post(url, {"act": "confirm", "code": "12"}).content.decode()
    TOTPDevice.objects.update(throttling_failure_count=0, throttling_failure_timestamp=None)
    assert (
        "Write these spare codes down"
        in ada_client.post(url, {"act": "confirm", "code": code_of(ada)}).content.decode()
    )
    assert ada_client.get(reverse("campaign:standing", args=["tideline"])).status_code == 200
    assert other.get(reverse("campaign:standing", args=["tideline"])).status_code == 302
    assert "spare codes left" in ada_client.get(url).content.decode()


def test_it_is_switched_off_with_a_code_only(ada, guarded):
    with pytest.raises(NotReady):
        drop_factor(user=ada, code="nonsense")
    for devices in (TOTPDevice, StaticDevice):  # as if the seconds of waiting were over
        devices.objects.update(throttling_failure_count=0, throttling_failure_timestamp=None)
    drop_factor(user=ada, code=guarded[1])
    assert not read_factor(ada).is_on
    drop_factor(user=ada, code="whatever")


def test_a_lost_telephone_is_mended_on_the_machine(ada, guarded, capsys):
    call_command("account", "ada", "--no-second-factor")
    assert "is off" in capsys.readouterr().out
    assert forget_factor(user=ada) == 0
    with pytest.raises(CommandError):
        call_command("account", "ada")
    call_command("account", "hugo", "--role", "helper")
    assert "with the password" in capsys.readouterr().out
