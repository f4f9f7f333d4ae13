using System.Globalization;
using TestRig.Core.Boards;

namespace TestRig.Bench.Campaigns;

/// <summary>Measurements that a profile could ask for and does not: leads to nets of a path that have none, and converters at points that have a lead to an input that sees levels only.</summary>
internal static class AddedSights
{
    /// <summary>Each with the board as it would be then.</summary>
    public static IEnumerable<(AddedMeasurement Kind, string Net, Board Board)> Of(Board board)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        foreach (var stage in board.Channels.SelectMany(channel => channel.Stages).DistinctBy(stage => stage.OutputName))
        {
            var net = stage.OutputName;
            if (stage.Output is not { AdapterPin: { } pin } known)
            {
                var highest = stage.Output?.Highest ?? stage.Part.SupplyOfOutput!.Maximum;
                var point = new TestPoint(net, null, PinVoltage.FiveVoltMaximum >= highest ? null : Divider.For(highest, PinVoltage.FiveVoltMaximum), stage.Output?.Ground) { Highest = highest };
                yield return (AddedMeasurement.Lead, net, board.WithTestPoint(point with { AdapterPin = LevelsOnly(board) }));
                yield return (AddedMeasurement.LeadToConverter, net, board.WithTestPoint(point with { AdapterPin = ReadsVoltages(net) }));
            }
            else if (known.Through is null && !lines.Contains(pin) && IsLevelsOnly(pin))
            {
                yield return (AddedMeasurement.Converter, net, board.WithTestPoint(known with { AdapterPin = ReadsVoltages(net) }));
            }
        }
    }

    // Names decide what a pin of the simulated adapter can do: D and a number sees levels only, as on our own adapter board.
    private static string LevelsOnly(Board board) =>
        Enumerable.Range(100, board.TestPoints.Length + 1).Select(number => string.Create(CultureInfo.InvariantCulture, $"D{number}")).First(pin => board.TestPoints.All(point => point.AdapterPin != pin));

    private static string ReadsVoltages(string net) => $"voltage of {net}";

    private static bool IsLevelsOnly(string pin) => pin.Length > 1 && pin[0] == 'D' && pin.AsSpan(1).IndexOfAnyExceptInRange('0', '9') < 0;
}
