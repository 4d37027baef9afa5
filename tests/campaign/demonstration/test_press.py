import hashlib

import pytest

from campaign.demonstration.catalogue import WORKS, draw_work
from campaign.demonstration.press import INDIGO, PAPER, Press


def _digest(image):
    return hashlib.sha256(image.tobytes()).hexdigest()


@pytest.mark.parametrize("work", [WORKS[0], WORKS[7], WORKS[12], WORKS[17], WORKS[25]], ids=lambda work: work.code)
def test_a_work_is_drawn_the_same_every_time(work):
    assert _digest(draw_work(work)) == _digest(draw_work(work))


def test_codes_are_the_seed():
    def drawn(code):
        press = Press(code, width_px=120, height_px=80)
        press.pull(press.gouges(0.1, 0.6, count=30, length=0.2), INDIGO)
        return _digest(press.finish())

    assert drawn("a") == drawn("a") != drawn("b")


def test_ink_goes_where_the_mask_is_and_nowhere_else():
    press = Press("a", width_px=200, height_px=100)
    press.pull(press.shape([(0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)]), INDIGO)
    assert sum(press.image.getpixel((30, 50))) < sum(INDIGO) + 60
    assert press.image.getpixel((170, 50)) == PAPER


def test_an_overprint_darkens_what_lies_beneath():
    press = Press("a", width_px=200, height_px=100)
    whole = [(0, 0), (1, 0), (1, 0.5), (0, 0.5)]
    press.overprint(press.shape(whole), (200, 200, 200))
    once = sum(press.image.getpixel((100, 50)))
    press.overprint(press.shape(whole), (200, 200, 200))
    assert sum(press.image.getpixel((100, 50))) < once < sum(PAPER)


def test_an_empty_mask_prints_nothing():
    press = Press("a", width_px=60, height_px=40)
    press.pull(press.blank(), INDIGO)
    assert press.image.getcolors() == [(2400, PAPER)]
