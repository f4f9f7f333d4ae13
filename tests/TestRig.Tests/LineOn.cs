using System.Globalization;

namespace TestRig.Tests;

/// <summary>One stretch in which a command line was on, from the emulated board's own log, in nanoseconds of its own clock.</summary>
/// <param name="To">Null when it was still on at the log's end.</param>
internal sealed record LineOn(string Pin, long From, long? To)
{
    public long Length(long end) => (To ?? end) - From;

    /// <summary>Lines of the log that concern command lines read: time, pin, level, state (off, idle, on).</summary>
    public static IReadOnlyList<LineOn> Read(IEnumerable<string> log)
    {
        var open = new Dictionary<string, long>();
        var found = new List<LineOn>();
        foreach (var line in log)
        {
            var fields = line.Split(' ');
            if (fields.Length != 4 || !long.TryParse(fields[0], CultureInfo.InvariantCulture, out var at) || fields[3] is not ("off" or "idle" or "on"))
                continue;
            var pin = fields[1];
            if (fields[3] == "on")
            {
                open.TryAdd(pin, at);
            }
            else if (open.Remove(pin, out var from))
            {
                found.Add(new(pin, from, at));
            }
        }
        found.AddRange(open.Select(entry => new LineOn(entry.Key, entry.Value, null)));
        return found;
    }
}
