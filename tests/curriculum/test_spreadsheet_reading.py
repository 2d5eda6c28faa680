"""A file is read for what it is, and one that cannot be used says why in a sentence."""

import datetime as dt
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from curriculum.spreadsheet.cells import (
    did_you_mean,
    harmless,
    join_names,
    read_minutes,
    read_ticks,
    say_ticks,
    split_names,
    unharmed,
)
from curriculum.spreadsheet.columns import COLUMNS
from curriculum.spreadsheet.reader import MOST_BYTES, read_sheet
from curriculum.spreadsheet.values import UnreadableFile

HEADER = ",".join(COLUMNS)
ROW = "Beginners,whisk,,3,15,4,closed,promenade,reverse turn,"


def csv_file(*rows, header=HEADER):
    return "\r\n".join([header, *rows, ""]).encode()


def workbook(*rows, header=COLUMNS, sheets=("Figures",)):
    book = Workbook()
    book.remove(book.active)
    for name in sheets:
        sheet = book.create_sheet(name)
        sheet.append(list(header))
        for row in rows:
            sheet.append(list(row))
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def zipped(**parts):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return packed.getvalue()


def refusal(data):
    with pytest.raises(UnreadableFile) as refused:
        read_sheet(data)
    return str(refused.value)


class TestCsv:
    def test_a_row_is_read_by_the_names_of_its_columns(self):
        (row,) = read_sheet(csv_file(ROW)).rows
        assert row.number == 2
        assert row.cells["figure"] == "whisk"
        assert row.cells["hold at end"] == "promenade"

    def test_a_byte_order_mark_does_not_matter(self):
        assert read_sheet(b"\xef\xbb\xbf" + csv_file(ROW)) == read_sheet(csv_file(ROW))

    def test_semicolons_may_stand_between_the_cells(self):
        data = csv_file(ROW.replace(",", ";"), header=HEADER.replace(",", ";"))
        assert read_sheet(data) == read_sheet(csv_file(ROW))

    def test_between_semicolons_a_cell_of_several_names_stands_in_quotation_marks(self):
        row = 'Beginners;whisk;"open whisk; twinkle";3;15;4;closed;promenade;;'
        (read,) = read_sheet(csv_file(row, header=HEADER.replace(",", ";"))).rows
        assert split_names(read.cells["other names"]) == ("open whisk", "twinkle")

    def test_columns_are_known_whatever_their_case_spaces_and_order(self):
        header = (
            "FIGURE,Level, Other Names ,beats,Minutes_to_introduce,minutes  to review,"
            "hold-at-start,Hold At End,NEEDS,notes"
        )
        (row,) = read_sheet(csv_file("whisk,Beginners,,3,15,4,closed,promenade,,", header=header)).rows
        assert (row.cells["level"], row.cells["figure"], row.cells["minutes to introduce"]) == (
            "Beginners",
            "whisk",
            "15",
        )

    def test_rows_are_counted_as_the_spreadsheet_counts_them(self):
        first = 'Beginners,box step,,6,12,4,closed,closed,,"two\r\nlines"'
        rows = read_sheet(csv_file(first, "", ",,,,,,,,,", ROW)).rows
        assert [row.number for row in rows] == [2, 5]

    def test_a_column_of_the_school_s_own_is_left_out_and_said(self):
        sheet = read_sheet(csv_file(ROW + ",Tamsin", header=HEADER + ",teacher"))
        assert sheet.remarks == ("Not one of our columns, so left out: “teacher”.",)
        assert "teacher" not in sheet.rows[0].cells


class TestXlsx:
    def test_numbers_are_read_as_they_were_typed(self):
        data = workbook(["Beginners", "whisk", None, 3, 15.0, 4, "closed", "promenade", None, None])
        (row,) = read_sheet(data).rows
        assert (row.cells["beats"], row.cells["minutes to introduce"]) == ("3", "15")

    def test_a_third_of_a_beat_stays_a_third(self):
        row = ["Beginners", "twist", None, 4 / 3, 15, 4, None, None, None, None]
        assert read_sheet(workbook(row)).rows[0].cells["beats"] == "1 1/3"

    def test_a_date_where_beats_belong_is_seen_as_what_it_is(self):
        row = ["Beginners", "twist", None, dt.date(2026, 2, 1), 15, 4, None, None, None, None]
        cell = read_sheet(workbook(row)).rows[0].cells["beats"]
        with pytest.raises(ValueError, match="is not a number of beats"):
            read_ticks(cell)

    def test_a_file_between_tabs_is_read_as_well(self):
        data = csv_file(ROW.replace(",", "\t"), header=HEADER.replace(",", "\t"))
        assert read_sheet(data).rows == read_sheet(csv_file(ROW)).rows

    def test_which_sheet_was_read_is_said_also_where_it_is_of_no_use(self):
        said = refusal(workbook(header=("Remember the music",), sheets=("Notes", "Figures")))
        assert said.startswith("The first row must name the columns")
        assert said.endswith("The workbook has 2 sheets; the first, “Notes”, was read.")

    def test_a_formula_without_its_result_is_named_with_its_cell(self):
        row = ["Beginners", "twist", None, 3, "=10+10", 4, None, None, None, None]
        assert refusal(workbook(row)).startswith(
            "Cell E2 holds the formula =10+10, and the workbook does not keep what it comes to."
        )

    def test_the_first_of_several_sheets_is_read_and_said(self):
        row = ["Beginners", "whisk", None, 3, 15, 4, None, None, None, None]
        sheet = read_sheet(workbook(row, sheets=("Waltz", "Tango")))
        assert sheet.remarks == ("The workbook has 2 sheets; the first, “Waltz”, was read.",)

    def test_both_kinds_of_file_read_alike(self):
        data = workbook(["Beginners", "whisk", None, 3, 15, 4, "closed", "promenade", "reverse turn", None])
        assert read_sheet(data).rows == read_sheet(csv_file(ROW)).rows


class TestFilesThatCannotBeUsed:
    def test_over_five_megabytes(self):
        assert refusal(b"x" * (MOST_BYTES + 1)).startswith("The file is larger than 5 MB.")

    def test_over_five_thousand_rows(self):
        rows = [f"Beginners,figure {number},,4,10,3,,,," for number in range(5_001)]
        assert refusal(csv_file(*rows)).startswith("The file has more than 5,000 rows.")
        assert len(read_sheet(csv_file(*rows[:5_000])).rows) == 5_000

    def test_another_encoding_is_said_with_its_line(self):
        said = refusal(csv_file(ROW, ROW).replace(b"whisk", "chassé".encode("latin-1")))
        assert said.startswith("This file is not written in UTF-8: line 2 has a letter that cannot be read.")

    def test_utf_16(self):
        assert refusal(csv_file(ROW).decode().encode("utf-16")).startswith("This file is written in UTF-16")

    def test_a_missing_column_is_named(self):
        said = refusal(csv_file("x", header=HEADER.replace("needs,", "")))
        assert said == "The column “needs” is missing. A column may be empty, but none may be left out."

    def test_several_missing_columns_are_named_together(self):
        said = refusal(csv_file("x", header=HEADER.replace("needs,", "").replace("beats,", "")))
        assert said.startswith("The columns “beats”, “needs” are missing.")

    def test_a_first_row_that_names_nothing(self):
        assert refusal(b"box step,6,12\r\n").startswith("The first row must name the columns: level, figure,")

    def test_columns_that_are_not_ours_are_named_with_what_they_were_likely_meant_for(self):
        said = refusal(csv_file("x", header=HEADER.replace("figure", "Figures").replace("notes", "teacher")))
        assert said.startswith("The columns “figure”, “notes” are missing.")
        assert said.endswith("Not one of our columns: “Figures” (meant for “figure”?), “teacher”.")

    def test_of_very_many_columns_that_are_not_ours_the_first_are_named(self):
        header = ",".join(["level", *(f"week {number} of 40" for number in range(40))])
        assert refusal(csv_file("x", header=header)).endswith("“week 11 of 40”, and 28 more.")

    def test_a_column_that_stands_twice(self):
        assert (
            refusal(csv_file(ROW, header=HEADER + ",Level")) == "The column “level” stands in the file twice."
        )

    @pytest.mark.parametrize(
        ("data", "said"),
        [
            (b"", "The file is empty."),
            (b"%PDF-1.7 ...", "This is a PDF"),
            (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "This is a workbook of the old kind (XLS)"),
            (b"\x89PNG\r\n\x1a\n\x00\x00", "This is a picture"),
            (b"<!doctype html><table>", "This is a web page"),
            (b"\x00\x01\x02\x03" * 40, "This file is neither CSV nor XLSX"),
        ],
    )
    def test_something_else(self, data, said):
        assert refusal(data).startswith(said)

    def test_a_zip_that_is_no_workbook(self):
        assert refusal(zipped(**{"notes.txt": "hello"})).startswith(
            "This is a zip file, but no XLSX workbook."
        )

    def test_an_open_document(self):
        data = zipped(mimetype="application/vnd.oasis.opendocument.spreadsheet", **{"content.xml": "<x/>"})
        assert refusal(data).startswith("This is an OpenDocument file.")

    def test_a_workbook_cut_off_in_the_middle(self):
        data = workbook(["Beginners", "whisk", None, 3, 15, 4, None, None, None, None])
        assert refusal(data[: len(data) // 2]).startswith("This workbook is damaged")

    def test_a_workbook_whose_sheet_is_no_xml(self):
        data = workbook(["Beginners", "whisk", None, 3, 15, 4, None, None, None, None])
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            parts = {name: file.read(name) for name in file.namelist()}
        assert refusal(zipped(**parts | {"xl/worksheets/sheet1.xml": "<worksheet>"})).startswith(
            "This workbook is damaged"
        )

    def test_a_small_file_that_unpacks_to_very_much_is_not_opened(self):
        bomb = zipped(
            **{"[Content_Types].xml": "<x/>", "xl/workbook.xml": "<x/>", "xl/a.xml": b" " * 70_000_000}
        )
        assert len(bomb) < 100_000
        assert refusal(bomb).startswith("This workbook unpacks to far more")

    def test_a_part_that_declares_entities_is_not_opened(self):
        data = zipped(
            **{"[Content_Types].xml": "<x/>", "xl/workbook.xml": "<!DOCTYPE x [<!ENTITY a 'b'>]><x/>"}
        )
        assert refusal(data).startswith("This is a zip file, but no XLSX workbook.")

    def test_a_quotation_mark_that_is_never_closed(self):
        assert "a quotation mark is not closed" in refusal(csv_file('Beginners,"whisk,,3,15,4,,,,'))

    def test_a_row_with_more_cells_than_columns(self):
        assert refusal(csv_file(ROW + "Step wide, and close")).startswith(
            "Row 2 has more cells than there are columns."
        )

    def test_columns_without_rows(self):
        assert refusal(csv_file()) == "The file names its columns but has no rows under them."


class TestCells:
    @pytest.mark.parametrize(
        ("text", "ticks"),
        [
            ("6", 72),
            ("4.5", 54),
            ("4,5", 54),
            ("1/3", 4),
            ("4 1/2", 54),
            ("1 1/3", 16),
            ("6.0", 72),
            ("", None),
        ],
    )
    def test_beats_are_counted_in_twelfths(self, text, ticks):
        assert read_ticks(text) == ticks

    @pytest.mark.parametrize("text", ["4.3", "0", "six", "-3", "1/0", "1e3", "99999", "4 beats"])
    def test_what_is_no_length_is_said(self, text):
        with pytest.raises(ValueError, match="beats"):
            read_ticks(text)

    @given(st.integers(1, 4800))
    def test_a_length_comes_back_from_how_it_is_written(self, ticks):
        assert read_ticks(say_ticks(ticks)) == ticks

    @pytest.mark.parametrize("text", ["0", "12.5", "a lot", "-4", "9999", ""])
    def test_minutes_are_whole_and_at_least_one(self, text):
        with pytest.raises(ValueError, match="minutes"):
            read_minutes(text, least=1)

    @pytest.mark.parametrize("text", ["-3", "0", "601", "12.5", "ten"])
    def test_what_minutes_may_be_is_said_in_the_same_words_whatever_is_wrong(self, text):
        with pytest.raises(ValueError, match=f"a whole number from 1 to 600, not “{text}”$"):
            read_minutes(text, least=1)

    @pytest.mark.parametrize("read", [read_ticks, lambda text: read_minutes(text, least=1)])
    def test_a_number_that_became_a_date_says_so(self, read):
        (row,) = read_sheet(workbook(["Beginners", "twist", None, dt.date(2026, 3, 15)])).rows
        assert row.cells["beats"] == "15 March 2026"
        with pytest.raises(ValueError, match=r"“15 March 2026”.*has made a date of it"):
            read(row.cells["beats"])

    def test_no_minutes_to_review_are_none(self):
        assert read_minutes("", least=0) == 0

    @pytest.mark.parametrize("text", ["=1+1", "+44", "-x", "@cmd", "\tx", "\rx", "'=x", "＝1"])
    def test_a_cell_that_would_run_as_a_formula_is_made_harmless(self, text):
        assert harmless(text)[0] == "'"
        assert unharmed(harmless(text)) == text

    @given(st.text(alphabet="=+-@\t\r'ab ;", max_size=8))
    def test_what_was_made_harmless_comes_back_unchanged(self, text):
        assert unharmed(harmless(text)) == text

    def test_every_name_of_a_cell_is_harmless_by_itself(self):
        assert join_names(["back lock", "=lock"]) == "back lock; '=lock"
        assert split_names("back lock; '=lock;; ") == ("back lock", "=lock")

    def test_a_name_whose_words_are_all_there_is_meant_before_one_that_shares_letters(self):
        assert did_you_mean("open fan", ["open basic", "fan", "alemana"]) == "fan"
        assert did_you_mean("hocky stick", ["fan", "hockey stick"]) == "hockey stick"
        assert did_you_mean("zzz", ["fan", "hockey stick"]) is None
