from campaign.measures.errors import MeasureError


def test_sentence_says_what_was_found_and_what_would_do():
    fault = MeasureError("abc", "a length such as 60 cm")
    assert str(fault) == "Found “abc”; write a length such as 60 cm."
    assert (fault.found, fault.expected) == ("abc", "a length such as 60 cm")


def test_reason_stands_between():
    assert (
        str(MeasureError("-3", "more", reason="which is too little")) == "Found “-3”, which is too little; write more."
    )


def test_blank_text_is_called_nothing():
    assert str(MeasureError(" \n", "a number")) == "Found nothing; write a number."


def test_long_text_is_clipped_and_stays_on_one_line():
    fault = MeasureError("ab\n" * 100, "less")
    assert len(fault.found) == 60
    assert fault.found.endswith("…")
    assert "\n" not in str(fault)
