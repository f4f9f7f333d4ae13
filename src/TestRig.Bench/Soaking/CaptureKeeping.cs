using TestRig.Bench.Storage;

namespace TestRig.Bench.Soaking;

/// <summary>
/// Decides which cycles' captures a soak keeps: the first, every failing one with those just before it, and a sample that thins out as the run goes on. Within its budget failures win: for their sake the sample
/// goes, and when nothing else is left to go, captures of further failures are not kept; summaries always are.
/// </summary>
public sealed class CaptureKeeping
{
    /// <summary>A sample of between half as many and so many cycles, evenly spread over the run.</summary>
    private const int MostSampled = 64;

    private readonly Dictionary<long, (KeepReason Reason, long Bytes)> _kept = [];

    /// <summary>Those of the kept cycles that are so for the sample alone: a few, however many are kept.</summary>
    private readonly SortedSet<long> _sampled = [];
    private long _step = 1;

    /// <summary>Bytes that captures may take: the fewer, the more summaries there are.</summary>
    public long Budget { get; set; }

    /// <summary>That they take.</summary>
    public long Bytes { get; private set; }

    /// <summary>Failing cycles whose captures were not kept, for lack of room.</summary>
    public long NotKept { get; private set; }

    /// <summary>The most that a kept cycle took: the next one may take as much.</summary>
    public long Largest { get; private set; }

    /// <summary>What a cycle's summary takes in the store, at most: its row, its figures, and the words of what fails.</summary>
    public static long SummaryBytes(CycleRecord cycle) => 150 + (6L * cycle.Figures.Length) + (2L * cycle.Channels.Sum(channel => channel.Summary?.Length ?? 0)) + (2L * cycle.Checks.Sum(check => check.Length));

    /// <summary>Why a cycle's captures are to be kept; null when they are not.</summary>
    public KeepReason? ReasonFor(long cycle, bool failing)
    {
        if (failing)
        {
            if (RoomFor(1) > 0)
                return KeepReason.Failure;
            CountNotKept();
            return null;
        }
        return cycle == 1 ? KeepReason.First : cycle % _step == 0 && RoomFor(1) > 0 ? KeepReason.Sample : null;
    }

    /// <summary>Whether it is kept for good: a sampled one may be forgotten when the sample thins out.</summary>
    public bool Stays(long cycle) => _kept.TryGetValue(cycle, out var kept) && kept.Reason != KeepReason.Sample;

    /// <summary>A cycle is kept, or kept for another reason than before.</summary>
    /// <param name="bytes">That its captures take in the store.</param>
    public void Add(long cycle, KeepReason reason, long bytes)
    {
        Bytes -= _kept.GetValueOrDefault(cycle).Bytes;
        _kept[cycle] = (reason, bytes);
        if (reason == KeepReason.Sample)
            _sampled.Add(cycle);
        else
            _sampled.Remove(cycle);
        Bytes += bytes;
        Largest = Math.Max(Largest, bytes);
    }

    /// <summary>A failing cycle's captures were not kept.</summary>
    public void CountNotKept() => NotKept++;

    /// <summary>The cycles whose captures are to be forgotten now: every second one of a sample that has become too large, or all of it where failures need the room.</summary>
    public IReadOnlyList<long> Forget()
    {
        List<long> forgotten = [];
        if (RoomFor(1) == 0)
        {
            forgotten = [.. _sampled];
            _step = long.MaxValue;
        }
        else if (_sampled.Count > MostSampled)
        {
            _step *= 2;
            forgotten = [.. _sampled.Where(cycle => cycle % _step != 0)];
        }
        foreach (var cycle in forgotten)
        {
            Bytes -= _kept[cycle].Bytes;
            _kept.Remove(cycle);
        }
        _sampled.ExceptWith(forgotten);
        return forgotten;
    }

    /// <summary>Of so many cycles more, for how many there is room, as large as the largest one so far.</summary>
    public int RoomFor(int cycles) => (int)Math.Clamp((Budget - Bytes) / Math.Max(1, Largest), 0, cycles);
}
