using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>Finds the change that a fine record belongs to, and the round of the device's timer in which it was stamped: link protocol, section 11.</summary>
internal static class FineStamps
{
    /// <param name="edge">How the pin's voltage changes; null when nothing is known of it: then only a stamp of the change itself can be used.</param>
    public static FineReading Of(FineRecord record, string pin, Capture capture, Duration tick, PinEdge? edge = null)
    {
        var level = record.High ? Level.High : Level.Low;
        FineReading Nothing(string why) => new(pin, level, null, why);

        if (capture.Find(pin) is not { } signal)
            return Nothing($"{pin} is not looked at, so nothing tells which change was stamped");
        var changes = signal.Changes.Where(change => change.Level == level).ToList();
        if (changes is not [var coarse])
            return Nothing($"{pin} was seen to go {level.Word()} {changes.Count} times, not once");
        if (!record.Seen)
            return Nothing($"the looks saw {pin} go {level.Word()}, and the hardware did not");

        var round = tick * record.Modulus;
        var transit = Duration.Zero;
        if (record.Crossing is { } crossing)
        {
            if (edge is null)
                return Nothing($"{pin} crossed {crossing.ReferenceLeast} to {crossing.ReferenceMost}, and nothing tells how long it took from there to where its input changes");
            if (edge.Between(level, crossing.ReferenceLeast, crossing.InputMost) is not { } between)
            {
                return Nothing(
                    $"{pin} crossed {crossing.ReferenceLeast} to {crossing.ReferenceMost}, and its input changes at {crossing.InputLeast} to {crossing.InputMost}: its levels, {edge.Low.ToHundredths()} and {edge.High.ToHundredths()}, "
                    + "are not clear of these, so nothing tells how far apart the two are");
            }
            if (record.Modulus != 0 && between >= round)
                return Nothing($"{pin} may take {between} from the stamped voltage to where its input changes, and the timer goes round in {round}");
            transit = between;
        }

        var (least, most) = (tick * record.Least, tick * (record.Most + 1));
        var first = Instant.Start + (tick * record.Stamp);
        var before = record.Modulus == 0 ? 0 : Math.Max(0, ((coarse.After - first).Picoseconds / round.Picoseconds) - 1);
        FineStamp? found = null;
        for (var rounds = before; ; rounds++)
        {
            var stamp = new FineStamp(coarse, first + (round * rounds), least, most) { Transit = transit };
            if (stamp.Within(least, most) is not null)
            {
                if (found is not null)
                    return Nothing($"{pin} changed inside a gap, or within an edge, that is longer than a round of the timer");
                found = stamp;
            }
            if (record.Modulus == 0 || stamp.NotBefore >= coarse.NotAfter)
                break;
        }
        return found is null
            ? Nothing($"the stamp is not that of the change that the looks saw: {pin} changed once more, too shortly to be seen or after the last look")
            : new(pin, level, found, null);
    }
}
