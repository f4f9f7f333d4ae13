using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>Finds the change that a fine record belongs to, and the round of the device's timer in which it was stamped: link protocol, section 11.</summary>
internal static class FineStamps
{
    public static FineReading Of(FineRecord record, string pin, Capture capture, Duration tick)
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

        var (least, most) = (tick * record.Least, tick * (record.Most + 1));
        var round = tick * record.Modulus;
        var first = Instant.Start + (tick * record.Stamp);
        var before = record.Modulus == 0 ? 0 : Math.Max(0, ((coarse.After - first).Picoseconds / round.Picoseconds) - 1);
        FineStamp? found = null;
        for (var rounds = before; ; rounds++)
        {
            var stamp = new FineStamp(coarse, first + (round * rounds), least, most);
            if (stamp.Within(least, most) is not null)
            {
                if (found is not null)
                    return Nothing($"{pin} changed inside a gap that is longer than a round of the timer");
                found = stamp;
            }
            if (record.Modulus == 0 || stamp.Stamp - most >= coarse.NotAfter)
                break;
        }
        return found is null
            ? Nothing($"the stamp is not that of the change that the looks saw: {pin} changed once more, too shortly to be seen or after the last look")
            : new(pin, level, found, null);
    }
}
