using TestRig.Bench.Files;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Files;

/// <summary>Files of lines and clipped points, format testrig-points/1.</summary>
public class PointsReaderTests
{
    private const string Good = """
        format: testrig-points/1
        board: { name: Old card }
        lines:
          up: { adapter: D22, idle: high, longest-on: 500 ms, rest: 250 ms, at: J1.2 }
          down: { adapter: D23, idle: low, longest-on: 1 s, rest: 0 ms }
        keep-apart: [ [up, down] ]
        test-points:
          A: { adapter: A0, highest: 5.25 V }
          B: { adapter: A1, highest: 13.2 V, divider: 100 kohm / 47 kohm }
          stop: { adapter: D30, highest: 5 V }
        stops:
          stop: { goes: low, ends: all }
        """;

    [Fact]
    public void Lines_may_all_move_something_and_their_own_pins_are_test_points()
    {
        var (file, errors) = Read(Good);
        Assert.Empty(errors);
        var board = file!.Board;
        Assert.Equal([("up", Level.High, true, 500L), ("down", Level.Low, true, 1_000L)], board.Lines.Select(line => (line.Name, line.Idle, line.Motion, line.LongestOn.Picoseconds / 1_000_000_000)));
        Assert.Equal(("J1.2", "D22"), (file.DrivenAt["up"].Name, file.DrivenAt["up"].AdapterPin));
        Assert.Equal("down.pin", file.DrivenAt["down"].Name);
        Assert.Equal(["A", "B", "stop"], file.Clipped.Select(point => point.Name));
        Assert.Equal(13.2, PointsFile.HighestAt(file.Clipped[1]).Value);
        Assert.Equal(("up", "down"), Assert.Single(board.KeptApart) is var pair ? (pair.First.Name, pair.Second.Name) : default);
        Assert.Equal(2, Assert.Single(board.Stops).Lines.Length);
        // Nobody knows what moves, so that its supply is the operator's to answer for.
        Assert.Contains(board.Supplies, supply => supply is { Motion: true, SensedAt: null });
    }

    [Theory]
    [InlineData("format: testrig-points/1", "format: testrig-points/2", "the format 'testrig-points/2' is not known")]
    [InlineData(", longest-on: 500 ms", "", "'longest-on' is missing; it has no default")]
    [InlineData("highest: 13.2 V, divider: 100 kohm / 47 kohm", "highest: 13.2 V", "reaches 13.2 V and has no divider")]
    [InlineData("A: { adapter: A0, highest: 5.25 V }", "A: { adapter: A0 }", "'highest' is missing; it has no default")]
    [InlineData("adapter: A0", "adapter: D22", "adapter pin D22 is already taken by line 'up'")]
    [InlineData("at: J1.2", "at: A", "'A' is a test point already")]
    [InlineData("[up, down]", "[up, sideways]", "there is no line 'sideways'")]
    [InlineData("goes: low, ends: all", "goes: low, ends: [ sideways ]", "there is no line 'sideways'")]
    [InlineData("highest: 5 V", "hihgest: 5 V", "there is no key 'hihgest' here")]
    public void A_mistake_is_told_with_its_place(string right, string wrong, string problem)
    {
        Assert.Contains(right, Good, StringComparison.Ordinal);
        var (file, errors) = Read(Good.Replace(right, wrong, StringComparison.Ordinal));
        Assert.Null(file);
        Assert.Contains(errors, error => error.ToString().Contains(problem, StringComparison.Ordinal));
    }

    private static (PointsFile? File, IReadOnlyList<ProfileError> Errors) Read(string text)
    {
        var path = Path.GetTempFileName();
        File.WriteAllText(path, text);
        var (file, errors) = PointsReader.Read(path, Repository.PartsFolder);
        File.Delete(path);
        return (file, errors);
    }
}
