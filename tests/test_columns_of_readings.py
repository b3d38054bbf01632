"""Columns of readings as people paste them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.columns_of_readings import ColumnError, read_column
from benchproof.quantities import DURATION, TAPER


def values(text: str, **stated: object) -> list[float]:
    found = read_column(text, **stated)  # type: ignore[arg-type]
    return [reading.value for reading in found]


@pytest.mark.parametrize(
    "text",
    [
        "5.02\n4.99\n5.01",
        "5,02\n4,99\n5,01",
        "5.02 mm\n\n4.99\n  5.01mm  \n",
        "diameter\n5.02\n4.99\n5.01",
        "diameter [µm]\n5020\n4990\n5010",
        "size, µm\n5020\n4990\n5010",
        "1: 5.02\n2: 4.99\n3: 5.01",
        "1:5.02\n2:4.99\n3:5.01",
        "1) 5,02\n2) 4,99\n3) 5,01",
        "no. 1: 5.02\nno. 2: 4.99\nno 3: 5.01",
        "#1: 5.02\n#2: 4.99\n# 3: 5.01",
        "no,size [mm]\n1,5.02\n2,4.99\n3,5.01",
        "no;size (mm)\n1;5,02\n2;4,99\n3;5,01",
        "1\t5.02\n2\t4.99\n3\t5.01",
        'piece;remark;"d (mm)"\n1;first;5,02\n2;;4,99\n3;;5,01',
        "# off the new bar\n5.02\n// a break\n4.99\n5.01",
        "\ufeff5.02\r\n4.99\r\n5.01\r\n",
    ],
)
def test_the_same_three_readings(text: str) -> None:
    assert values(text) == pytest.approx([5.02e-3, 4.99e-3, 5.01e-3], rel=1e-12)
    first = [(each.number, each.id) for each in read_column(text)]
    assert [number for number, _ in first] == [1, 2, 3]
    assert [each for _, each in first] == [each.id for each in read_column("5.02\n4.99\n5.01")]


def test_any_unit_line_by_line() -> None:
    found = values("1 7/16 in\n2 thou\n36,51 mm\n0.5 cm")
    assert found == pytest.approx([36.5125e-3, 50.8e-6, 36.51e-3, 5e-3], rel=1e-12)
    assert values("0.197\n0.198", default_unit="in") == pytest.approx([5.0038e-3, 5.0292e-3])


def test_three_decimals_behind_a_comma() -> None:
    """29,986 alone may be thirty metres: another line, or a word, settles it."""
    with pytest.raises(ColumnError, match="thousands or decimals"):
        read_column("29,986\n29,991")
    assert values("29,986\n29,99") == pytest.approx([29.986e-3, 29.99e-3])
    assert values("29,986\n29,991", decimal="comma") == pytest.approx([29.986e-3, 29.991e-3])
    with pytest.raises(ColumnError, match="thousands or decimals"):
        read_column("29,986\n29,99", decimal="point")
    with pytest.raises(ColumnError, match="thousands or decimals"):
        read_column("29,986\n29.99\n30.01")


def test_numbers_of_pieces_are_kept() -> None:
    found = read_column("17: 5.02\n19: 4.99")
    assert [(each.number, each.numbered) for each in found] == [(17, True), (19, True)]
    assert [each.line for each in found] == [1, 2]
    assert found[1].text == "19: 4.99"
    counted = read_column("5.02\n4.99", first_number=41)
    assert [(each.number, each.numbered) for each in counted] == [(41, False), (42, False)]


@given(
    st.lists(st.integers(4000, 6000), min_size=1, max_size=30),
    st.integers(0, 30),
)
def test_a_column_that_grew_keeps_what_it_held(microns: list[int], cut: int) -> None:
    """Pasted again with more at its end, in other clothes: the old rows are the same rows."""
    before = read_column("\n".join(f"{each / 1000:.3f} mm" for each in microns[: max(1, cut)]))
    after = read_column("d\n\n" + "\n".join(f"{each} µm" for each in microns))
    assert [each.id for each in after[: len(before)]] == [each.id for each in before]
    assert len({each.id for each in after}) == len(after)


def test_sheets_are_told_apart() -> None:
    assert read_column("5.02")[0].id != read_column("5.02", sheet="second lot")[0].id
    assert read_column("1: 5.02")[0].id != read_column("2: 5.02")[0].id
    assert read_column("1: 5.02")[0].id == read_column("5,02")[0].id


def test_every_problem_is_told_with_its_line() -> None:
    with pytest.raises(ColumnError) as refused:
        read_column("5.02\nabout five\n4.99 kg\n5.01")
    assert [problem.line for problem in refused.value.problems] == [2, 3]
    assert "line 2" in str(refused.value)
    assert "is a mass" in str(refused.value)


def test_a_slip_of_the_unit_is_refused() -> None:
    with pytest.raises(ColumnError, match="nothing like the size expected"):
        read_column("5.02\n0.1976\n502", near=5e-3)
    assert values("5.02", near=5e-3) == pytest.approx([5.02e-3])


def test_one_piece_with_two_readings_is_asked_about() -> None:
    with pytest.raises(ColumnError, match=r"piece 7 .* line 1 .*keep one"):
        read_column("7: 5.02\n8: 5.00\n7: 5.03")
    assert len(read_column("7: 5.02\n7: 5.02")) == 2


def test_a_table_with_two_columns_of_sizes_asks_which() -> None:
    table = "no,bore [mm],shaft [mm]\n1,5.02,5.00\n2,5.03,4.99"
    with pytest.raises(ColumnError, match="which column"):
        read_column(table)
    assert values(table, column="shaft") == pytest.approx([5.00e-3, 4.99e-3])
    found = read_column(table, column="bore [mm]")
    assert [each.number for each in found] == [1, 2]
    with pytest.raises(ColumnError, match=r"no column “nut”; there are: no, bore"):
        read_column(table, column="nut")
    with pytest.raises(ColumnError, match="no header"):
        read_column("5.02\n5.03", column="bore")
    with pytest.raises(ColumnError, match="2 columns of numbers"):
        read_column("3,5.02\n1,4.99")  # whole numbers, but they number nothing
    with pytest.raises(ColumnError, match="2 columns of numbers"):
        read_column("5.02\t5.00\n5.03\t4.99")


def test_a_short_row_and_an_unknown_unit() -> None:
    assert values("a;b\nx;5,02\ny\nz;4,99", column="b") == pytest.approx([5.02e-3, 4.99e-3])
    with pytest.raises(ColumnError, match="“kg” that is not known here"):
        read_column("d [kg]\n5.02")


def test_times_and_tapers_keep_their_colons() -> None:
    assert values("4:12\n4:20.5", kind=DURATION, default_unit="s") == pytest.approx([252.0, 260.5])
    found = read_column("3: 4:12", kind=DURATION, default_unit="s")
    assert (found[0].number, found[0].value) == (3, 252.0)
    assert values("1:50", kind=TAPER, default_unit="") == pytest.approx([0.02])


@pytest.mark.parametrize("text", ["", "\n\n", "diameter\n", "# nothing yet"])
def test_a_column_without_readings_is_refused(text: str) -> None:
    with pytest.raises(ColumnError, match="no reading"):
        read_column(text)


def test_a_column_beyond_measure_is_refused() -> None:
    with pytest.raises(ColumnError, match="more than 5000 lines"):
        read_column("5.02\n" * 5001)


@given(st.text(max_size=200))
def test_whatever_is_pasted_is_read_or_refused(text: str) -> None:
    try:
        found = read_column(text)
    except ColumnError as error:
        found, told = [], str(error)
    assert found or told
