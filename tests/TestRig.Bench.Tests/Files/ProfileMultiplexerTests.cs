using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Files;

/// <summary>Multiplexers in a profile: read, and every mistake found at its place with a remedy.</summary>
public sealed class ProfileMultiplexerTests : IDisposable
{
    private const string Good =
        """
        format: testrig-profile/1
        board: { name: Test card }
        supplies: { logic: { volts: 5 V ± 5 %, sensed-at: LOGIC } }
        parts:
          U1: { type: 74LS244, supply: logic }
        lines:
          one: { adapter: D2, idle: low, pull-down: 1 kohm, motion: false, longest-on: 500 ms, rest: 0 ms }
          two: { adapter: D3, idle: low, pull-down: 1 kohm, motion: false, longest-on: 500 ms, rest: 0 ms }
        multiplexers:
          M1: { type: 74HC4051, common: A0, select: [D6, D7, D8] }
          M2: { type: 74HC4051, common: A1, select: [D6, D7, D8] }
        test-points:
          P1: { adapter: D2 }
          P2: { adapter: D3 }
          U1.18: { adapter: M1.Y0 }
          U1.16: { adapter: M1.Y5 }
          door: { adapter: M2.Y5, supply: logic }
          LOGIC: { adapter: A2, divider: 10 kohm / 10 kohm }
        stops: { P2: { goes: high, ends: [one] } }
        channels:
          one: { drive: one at P1, path: [ U1 2>18 ] }
          two: { drive: two at P2, path: [ U1 4>16 ] }

        """;

    private readonly DirectoryInfo _folder = TestFolders.Create();

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Points_behind_multiplexers_know_their_input_and_share_an_adapter_pin()
    {
        var board = Load(Good).Board;
        Assert.NotNull(board);
        var points = board.TestPoints.ToDictionary(point => point.Name);
        Assert.Equal(("A0", 5, "M1.Y5"), (points["U1.16"].AdapterPin, points["U1.16"].Through!.Address, points["U1.16"].LeadEnd));
        Assert.Equal(("A1", "M2.Y5"), (points["door"].AdapterPin, points["door"].LeadEnd));
        Assert.Null(points["P1"].Through);
        Assert.Equal(8, Assert.IsType<MultiplexerType>(board.Multiplexers[0].Type).InputCount); // 74HC4051: eight inputs (value from memory)
    }

    [Theory]
    [InlineData("adapter: M1.Y5", "adapter: M3.Y5", "16:21: test-points.U1.16.adapter: there is no multiplexer 'M3'; did you mean 'M1'?")]
    [InlineData("adapter: M1.Y5", "adapter: M1.Y8", "16:21: test-points.U1.16.adapter: a 74HC4051 has no input Y8; its inputs are Y0 to Y7")]
    [InlineData("adapter: M1.Y5", "adapter: M1.5", "16:21: test-points.U1.16.adapter: 'M1.5' is neither an adapter pin nor an input of a multiplexer; write a pin as the adapter marks it, for example 'A0', or an input such as 'M1.Y3'")]
    [InlineData("adapter: M1.Y5", "adapter: M1", "16:21: test-points.U1.16.adapter: 'M1' is neither an adapter pin nor an input of a multiplexer; write a pin as the adapter marks it, for example 'A0', or an input such as 'M1.Y3'")]
    [InlineData("\n  M2: {", "\n  U1: {", "11:3: multiplexers.U1: 'U1' is on the board already, and the multiplexer is not part of the board; give it a name of its own, for example 'M1'")]
    [InlineData("adapter: M1.Y5", "adapter: M1.Y0", "16:21: test-points.U1.16.adapter: adapter pin M1.Y0 is already taken by test point 'U1.18'; give it a pin of its own")]
    [InlineData("adapter: M1.Y5", "adapter: A0", "10:33: multiplexers.M1.common: adapter pin A0 is already taken by test point 'U1.16'; give it a pin of its own")]
    [InlineData("common: A1", "common: A0", "11:33: multiplexers.M2.common: adapter pin A0 is already taken by multiplexer 'M1'; give it a pin of its own")]
    [InlineData("common: A1, select: [D6, D7, D8]", "common: A1, select: [D6, D8, D7]", "11:46: multiplexers.M2.select[1]: 'M2' and 'M1' share some select pins, but not all of them in one order; write 'select: [D6, D7, D8]', or give each its own")]
    [InlineData("common: A1, select: [D6, D7, D8]", "common: A1, select: [D9, D10, D9]", "11:55: multiplexers.M2.select[3]: adapter pin D9 is already taken by another select pin of 'M2'; give it a pin of its own")]
    [InlineData("common: A1, select: [D6, D7, D8]", "common: A1, select: [D9, D10]", "11:50: multiplexers.M2.select[2]: a 74HC4051 has 3 select pins, 2 are named; name the adapter pins at S0 to S2, S0 first")]
    [InlineData("common: A1, select: [D6, D7, D8]", "common: A1, select: [D9, D10, D3]", "11:55: multiplexers.M2.select[3]: adapter pin D3 is already taken by line 'two'; give it a pin of its own")]
    [InlineData("common: A1, select", "common: D7, select", "11:33: multiplexers.M2.common: adapter pin D7 is already taken by a select pin of 'M1'; give it a pin of its own")]
    [InlineData("M2: { type: 74HC4051", "M2: { type: 74LS244", "11:15: multiplexers.M2.type: a 74LS244 is no multiplexer; the multiplexers are 74HC4051")]
    [InlineData("M2: { type: 74HC4051", "M2: { type: 74HC4052", "11:15: multiplexers.M2.type: the part library has no type '74HC4052'; did you mean '74HC4051'?")]
    [InlineData("U1: { type: 74LS244, supply: logic }", "U1: { type: 74LS244, supply: logic }\n  U2: { type: 74HC4051 }", "6:15: parts.U2.type: a 74HC4051 belongs to the measuring set-up; describe it in 'multiplexers', not in 'parts'")]
    [InlineData("LOGIC: { adapter: A2", "LOGIC: { adapter: M2.Y0", "3:51: supplies.logic.sensed-at: 'LOGIC' is seen through M2.Y0: a supply is looked at before the multiplexers are switched; give test-points.LOGIC an adapter pin of its own")]
    [InlineData("stops: { P2", "stops: { door", "19:10: stops.door: 'door' is seen through M2.Y5: the adapter has to see it at every moment; give test-points.door an adapter pin of its own")]
    [InlineData("two at P2", "two at door", "22:17: channels.two.drive: 'door' is seen through M2.Y5: the drive line stands in every capture; give test-points.door an adapter pin of its own")]
    public void A_mistake_is_found_at_its_place_with_a_remedy(string from, string to, string expected)
    {
        Assert.Contains(from, Good, StringComparison.Ordinal);
        var result = Load(Good.Replace(from, to, StringComparison.Ordinal));
        Assert.Null(result.Board);
        Assert.Contains(expected, result.Errors.Select(error => error.ToString()[(_folder.FullName.Length + "/card.yaml:".Length)..]));
    }

    [Theory]
    [InlineData("two")]
    [InlineData("0")]
    public void The_number_of_lines_that_may_be_on_is_a_whole_number_above_0(string written)
    {
        var result = Load(Good + $"lines-on-together: {written}\n");
        Assert.Equal("lines-on-together", Assert.Single(result.Errors).KeyPath);
    }

    private ProfileResult Load(string profile)
    {
        var path = Path.Combine(_folder.FullName, "card.yaml");
        File.WriteAllText(path, profile);
        return ProfileLoader.Load(path, Repository.PartsFolder);
    }
}
