using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Reporting;

public class BoardHistoryTests
{
    private static PastRun Run(string id, int year, string? serial, params RunNote[] notes) => new(
        new(SomeRun.Heading(id, started: new(year, 5, 1, 9, 0, 0, TimeSpan.Zero)) with { Serial = serial }, 1, 0, [], null, null, 0) { Notes = [.. notes] }, [new("left", Condition.Dead, 1)]);

    private static RunNote Note(int year, params string[] replaced) => new(new(year, 5, 2, 9, 0, 0, TimeSpan.Zero), "anna", "", [.. replaced.Select(part => new ReplacedPart(part, "4N25"))], null);

    [Fact]
    public void Runs_of_one_serial_number_are_one_board_whatever_its_case_and_those_without_one_by_name_another()
    {
        var boards = BoardHistory.Of([Run("c", 2030, "A-7"), Run("a", 2021, "a-7"), Run("d", 2022, null), Run("b", 2026, "A-8"), Run("e", 2020, null)]);
        Assert.Equal(
            [(null, "e d"), ("A-7", "a c"), ("A-8", "b")],
            boards.Select(board => (board.Serial, string.Join(" ", board.Runs.Select(run => run.Run.Heading.Id)))));
    }

    [Fact]
    public void Parts_that_were_replaced_are_listed_in_the_order_of_the_years()
    {
        var board = Assert.Single(BoardHistory.Of([Run("b", 2030, "7", Note(2030, "OK3")), Run("a", 2021, "7", Note(2021, "U3", "OK3"), Note(2035, "Q1"))]));
        Assert.Equal(["2021 U3", "2021 OK3", "2030 OK3", "2035 Q1"], board.Replacements.Select(replaced => $"{replaced.Note.At.Year} {replaced.Part.Part}"));
    }

    /// <summary>The note that says it last counts, of a board that was given the wrong number.</summary>
    [Fact]
    public void A_serial_number_can_be_put_right()
    {
        var run = Run("a", 2021, "wrong", Note(2021) with { Serial = "right" }, Note(2022)).Run;
        Assert.Equal("right", run.Serial);
        Assert.Equal("wrong", (run with { Notes = [Note(2021)] }).Serial);
    }

    [Fact]
    public void A_note_says_when_who_and_what()
    {
        var note = new RunNote(new(2026, 3, 12, 18, 40, 0, TimeSpan.FromHours(1)), "anna", "The socket was dark.", [new("OK3", "4N25, date code 2419"), new("U3", "")], "1984-007");
        Assert.Equal("2026-03-12 18:40, anna: OK3 (4N25, date code 2419), U3 replaced. Serial number of the board: 1984-007. The socket was dark.", NoteWords.Of(note));
    }
}
