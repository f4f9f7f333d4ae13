using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Probing;

/// <summary>The lead that goes from point to point.</summary>
/// <param name="Pin">The adapter pin where it is; null for the first that is free, one that reads voltages where there is one.</param>
/// <param name="Divider">What is put into it for points that go higher than the pin may; null for that which the profile has at the point, if any.</param>
public sealed record ProbeLead(string? Pin, Divider? Divider)
{
    /// <summary>Of the simulated bench, whose adapter has whatever pins a profile names: those that our own board reads voltages at.</summary>
    private static readonly AdapterPin[] _simulated =
        [.. Enumerable.Range(0, 16).Select(number => new AdapterPin(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"A{number}"), Line: false, Sense: true, Analog: true, Stop: false))];

    /// <exception cref="ProfileMismatchException">There is no such pin, or it cannot look, or another lead is there.</exception>
    internal string PinOn(Board board, Channel channel, ExerciseMode mode, IAdapter adapter)
    {
        var taken = RovingBoard.PinsThatStay(board, channel, mode);
        var named = AdapterPins.Of(board);
        var looking = (adapter.Identity.IsSimulated ? adapter.Pins.Concat(_simulated).DistinctBy(pin => pin.Name) : adapter.Pins)
            .Where(pin => pin.Sense && board.Lines.All(line => line.AdapterPin != pin.Name) && !taken.Contains(pin.Name))
            .OrderBy(pin => named.Contains(pin.Name)).ThenBy(pin => !pin.Analog).ThenBy(pin => !pin.CanCheckLead)
            .ToList();
        var found = looking.Find(pin => Pin is null || pin.Name == Pin);
        if (found is not null)
            return found.Name;
        var free = looking.Count > 0 ? $"Pins that are free: {string.Join(", ", looking.Select(pin => pin.Name))}." : "No pin of this adapter is free for it.";
        throw new ProfileMismatchException([Pin is null ? $"There is no pin for the roving lead. {free}" : $"--lead {Pin}: that pin cannot look at a level, or another lead stays there. {free}"]);
    }
}
