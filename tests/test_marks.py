"""What nobody sees in a tag or a name is found and told."""

import sys
import unicodedata

import pytest

from remnants.marks import unseen, visible

VISIBLE_FORMATS = set("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd") | {
    chr(number) for number in range(0x13430, 0x13440)
}
"""Signs of Arabic, Syriac, Kaithi and Egyptian scripts that are drawn, though Unicode calls them formats."""

JOINERS = {"\u200c", "\u200d"}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("R-1\x00", "U+0000, NUL"),
        ("R-1\u200e", "U+200E, left-to-right mark"),
        ("1-R\u202e", "U+202E, right-to-left override"),
        ("Velder\nLoop", "U+000A, a line break"),
        ("Vel\xadder", "U+00AD, soft hyphen"),
        ("R\u200d1", "U+200D, zero width joiner"),
        ("\u3164", "U+3164, hangul filler"),
        ("R-1\x07", "U+0007, a control character"),
    ],
)
def test_the_first_mark_is_told_by_number_and_name(text: str, told: str) -> None:
    assert unseen(text) == told


@pytest.mark.parametrize("text", ["Velder Loop", "Écru", "می\u200cخواهم", "क्\u200dष", "R-1 é ß", "平織り", ""])
def test_what_is_spelled_so_is_left_alone(text: str) -> None:
    assert (unseen(text), visible(text)) == ("", text)


def test_a_text_is_cleaned_of_what_nobody_sees() -> None:
    assert visible("\ufeffBay 3\r\n left\u200b\x00") == "Bay 3 left"
    assert visible("a\tb\x00\x00c") == "a b c"


def test_every_control_and_format_of_unicode_is_found() -> None:
    every = map(chr, range(sys.maxunicode + 1))
    formats = [mark for mark in every if unicodedata.category(mark) in ("Cc", "Cf", "Zl", "Zp")]
    assert {mark for mark in formats if not unseen(f"a{mark}b")} <= VISIBLE_FORMATS
    assert {mark for mark in formats if not unseen(f"é{mark}é")} <= VISIBLE_FORMATS | JOINERS
