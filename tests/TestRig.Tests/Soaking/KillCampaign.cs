using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using TestRig.Core.Link;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>
/// Soaks through the real firmware, killed at random instants and resumed until each is complete, while the emulated adapter and its board live on. What came of it is read from outside alone: from the store's
/// file, from what the program says, and from the emulated board's own log.
/// </summary>
internal sealed partial class KillCampaign : IDisposable
{
    /// <summary>Cycles of one run: more than what a process gets done before it is killed.</summary>
    private const int CyclesOfRun = 8;

    /// <summary>After so many kills, nobody comes back until the adapter has given its host up.</summary>
    private const int KillsBetweenAlone = 12;

    private const int KillsBetweenNews = 20;

    /// <summary>Of the demonstration profile: the longest on-time and the rest of every line, and the heartbeat limit that goes with it.</summary>
    private const long LongestOnNs = 500_000_000, RestNs = 250_000_000, HeartbeatNs = 5_000_000_000;

    /// <summary>The adapter's stated bound from a byte of the host to idle lines: firmware-notes/safety.md.</summary>
    private const long HostBoundNs = 4_200_000;

    /// <summary>A step may be this much late: firmware-notes/timing.md.</summary>
    private const long StepLatenessNs = 10_000;

    /// <summary>The longest frame takes 6 ms on the wire, and a line goes on 10 ms into its burst.</summary>
    private const long UnderWayNs = 30_000_000;

    private static readonly string[] _pins = ["D22", "D23", "D24", "D25", "D26", "D27"];

    private readonly string _store = Path.Combine(TestFolders.Create().FullName, "runs.db");
    private readonly EmulatedBench _bench;
    private readonly Random _random;
    private readonly Action<string> _tell;
    private readonly List<KillWindow> _windows = [];
    private readonly Dictionary<string, StoredSoak> _runs = [];
    private int _kills, _torn;

    public KillCampaign(int seed, Action<string> tell)
    {
        _tell = tell;
        _random = new(seed);
        _bench = EmulatedBench.Start(options: ["--seed", seed.ToString(CultureInfo.InvariantCulture)]);
        _tell($"seed {seed}");
    }

    /// <summary>Begins runs, kills and resumes them until there were so many kills, and brings the last one to its end.</summary>
    public void Run(int kills)
    {
        while (_kills < kills)
            OneRun(kills);
        ListAgrees();
        JudgedAgain(_runs.Values.First());
        var lastRun = Status().LastRun;
        var log = _bench.EndAndReadLog();
        var lines = LineOn.Read(log);
        NothingOutlasted(lines);
        NothingTogether(lines);
        IdleAfterEachKill(lines);
        var hits = EachWindowIsExplained(lines);
        // A burst that a kill ended before its line was on is in the adapter's count alone.
        Assert.InRange(lastRun, (uint)lines.Count, (uint)(lines.Count + _kills));
        _tell($"{_kills} kills, {_runs.Count} runs of {CyclesOfRun} cycles complete, {lines.Count} activations of lines in {lastRun} bursts; the machine was late {log.Count(line => line.Contains(" late ", StringComparison.Ordinal))} times");
        _tell($"they hit: {string.Join(", ", hits.OrderByDescending(hit => hit.Value).Select(hit => $"{hit.Value} {hit.Key}"))}; {_torn} left part of a transaction in the store");
        // Where a kill hits is up to this machine, too; kills that all hit the same would try little.
        Assert.True(hits.Count > 1, "all kills hit the same");
    }

    public void Dispose() => _bench.Dispose();

    private void OneRun(int kills)
    {
        string? id = null;
        for (var before = 0L; ;)
        {
            var from = _bench.Time();
            string[] asked = id is null ? ["--cycles", CyclesOfRun.ToString(CultureInfo.InvariantCulture)] : ["--resume", id];
            using var run = ProgramRun.Start(["soak", Repository.DomeProfile, "--adapter", _bench.Adapter, "--store", _store, .. asked]);
            var killed = _kills < kills && Aim(run, (KillPlace)(_kills % Enum.GetValues<KillPlace>().Length), from) && Killed(run);
            if (!killed)
                run.WaitForEnd();
            var at = _bench.Time();
            if (Resumed().Match(run.Output) is { Success: true } resumed)
                Assert.Equal(before, long.Parse(resumed.Groups[1].ValueSpan, CultureInfo.InvariantCulture));
            var stored = Stored(ref id, before, run);
            _windows.Add(new(from, killed ? at : null, id, before, stored?.Cycles ?? 0, killed ? Left(at) : null));
            if (!killed)
            {
                Assert.True(run.ExitCode == stored!.ExitCode, $"exit {run.ExitCode}, not {stored.ExitCode}\n{run.Error}\n{run.Output}");
                Assert.Equal((true, 0L), (stored.Ended, stored.Failing));
                stored.AssertCounts(CyclesOfRun);
                _runs.Add(stored.Id, stored);
                ShowAgrees(stored);
                return;
            }
            if (stored is { Ended: true })
            {
                // Killed between its last words in the store and its own end.
                stored.AssertCounts(CyclesOfRun);
                _runs.Add(stored.Id, stored);
                return;
            }
            before = stored?.Cycles ?? 0;
        }
    }

    /// <summary>What the store has of this run, once it is known to be whole.</summary>
    private StoredSoak? Stored(ref string? id, long before, ProgramRun run)
    {
        if (!File.Exists(_store))
            return null;
        var reading = StoreReading.Of(_store);
        Assert.Equal("ok", reading.Integrity);
        if (TornLog.IsIn(_store + "-wal"))
            _torn++;
        var stored = reading.Runs.SingleOrDefault(known => !_runs.ContainsKey(known.Id));
        id = stored?.Id;
        stored?.AssertCounts(stored.Cycles);
        Assert.Equal(_runs.Count + (stored is null ? 0 : 1), reading.Runs.Length);
        var told = Progress().Matches(run.Output).Select(match => long.Parse(match.Groups[1].ValueSpan, CultureInfo.InvariantCulture)).DefaultIfEmpty(before).Max();
        Assert.True((stored?.Cycles ?? 0) >= told, $"{told} cycles were told, and {stored?.Cycles ?? 0} are stored");
        return stored;
    }

    /// <returns>False when it came to its end before.</returns>
    private bool Aim(ProgramRun run, KillPlace place, long from)
    {
        switch (place)
        {
            case KillPlace.StartUp:
                return Later(run, from, 1_200);
            case KillPlace.Preparation:
                return Reaches(run, () => run.Output.Contains("\nadapter", StringComparison.Ordinal)) && Later(run, _bench.Time(), 150);
            case KillPlace.Burst:
                var pin = _pins[_random.Next(_pins.Length)];
                return Reaches(run, () => IsOn(pin)) && Later(run, _bench.Time(), 30);
            case KillPlace.Commit:
                if (!Reaches(run, () => IsOn(_pins[^1])))
                    return false;
                var known = Written();
                return Reaches(run, () => Written() != known, promptly: true) && (_random.Next(2) == 0 || Later(run, _bench.Time(), 4));
            case KillPlace.Anywhere:
                return Later(run, from, 6_000);
            default:
                throw new ArgumentOutOfRangeException(nameof(place), place, "Unknown place.");
        }
    }

    /// <summary>Until a random time after an instant of the bench's clock.</summary>
    private bool Later(ProgramRun run, long from, int mostMilliseconds)
    {
        var at = from + (long)(_random.NextDouble() * mostMilliseconds * 1_000_000);
        return Reaches(run, () => _bench.Time() >= at);
    }

    private static bool Reaches(ProgramRun run, Func<bool> condition, bool promptly = false)
    {
        var patience = Stopwatch.StartNew();
        while (!condition())
        {
            if (run.HasEnded)
                return false;
            if (patience.Elapsed > TimeSpan.FromMinutes(3))
                throw new TimeoutException($"After three minutes the program is not there yet. So far:\n{run.Output}\n{run.Error}");
            if (promptly)
                Thread.Yield();
            else
                Thread.Sleep(1);
        }
        return true;
    }

    private bool IsOn(string pin) => _bench.Tell("lines").Contains($"{pin}=on", StringComparison.Ordinal);

    private (bool Exists, long Length, DateTime Changed) Written() =>
        new FileInfo(_store + "-wal") is { Exists: true } log ? (true, log.Length, log.LastWriteTimeUtc) : (false, 0, DateTime.UnixEpoch);

    /// <returns>False when it had come to its end by itself.</returns>
    private bool Killed(ProgramRun run)
    {
        const int byKill9 = 128 + 9;
        run.Kill();
        if (run.ExitCode != byKill9)
            return false;
        _kills++;
        if (_kills % KillsBetweenNews == 0)
            _tell($"{_kills} kills, {_runs.Count} runs complete");
        return true;
    }

    /// <summary>What was under way when the host died arrives; now and then nobody comes back for so long that the adapter disarms by itself.</summary>
    /// <returns>Until when it was alone, if it was.</returns>
    private long? Left(long killed)
    {
        _bench.WaitForTime(killed + UnderWayNs);
        if (_kills % KillsBetweenAlone != KillsBetweenAlone / 2)
            return null;
        // The heartbeat limit begins afresh when a burst ends.
        _bench.WaitForTime(killed + UnderWayNs + LongestOnNs + HeartbeatNs + HostBoundNs);
        var alone = _bench.Time();
        var status = Status();
        Assert.False(status.Armed, "the heartbeat limit has passed since the host was killed, and the adapter is still armed");
        Assert.Equal(ResetCauses.PowerOn, status.ResetCauses);
        return alone;
    }

    private DeviceStatus Status()
    {
        using var link = new RawLink(_bench.Port);
        link.Identify();
        return DeviceStatus.Parse(link.Ask(LinkRequest.Status).Body.AsSpan()).Value!;
    }

    private void ShowAgrees(StoredSoak stored)
    {
        using var show = ProgramRun.ToEnd("runs", "show", stored.Id, "--store", _store).WaitForEnd(0);
        Assert.Contains($"all 6 channels worked in {CyclesOfRun} cycles", show.Output, StringComparison.Ordinal);
        Assert.Equal(stored.Sessions, Session().Count(show.Output));
    }

    private void ListAgrees()
    {
        using var list = ProgramRun.ToEnd("runs", "list", "--store", _store, "--json", "-").WaitForEnd(0);
        using var json = JsonDocument.Parse(list.Output);
        var listed = json.RootElement.GetProperty("runs").EnumerateArray().ToDictionary(run => run.GetProperty("name").GetString()!);
        Assert.Equal(_runs.Keys.Order(), listed.Keys.Order());
        Assert.All(listed.Values, run => Assert.Equal((CyclesOfRun, 0), (run.GetProperty("cycles").GetInt32(), run.GetProperty("failingCycles").GetInt32())));
    }

    /// <summary>What was kept whole can still be read, and says the same.</summary>
    private void JudgedAgain(StoredSoak stored)
    {
        using var judge = ProgramRun.ToEnd("runs", "judge", stored.Id, "--store", _store);
        // Captures are kept of a sample of the cycles: what could not be judged once need not be among them.
        Assert.Contains(judge.ExitCode, (IEnumerable<int>)[0, stored.ExitCode]);
        Assert.Contains("(first): ", judge.Output, StringComparison.Ordinal);
    }

    private static void NothingOutlasted(IReadOnlyList<LineOn> lines)
    {
        Assert.All(lines, line => Assert.NotNull(line.To));
        Assert.All(lines, line => Assert.InRange(line.Length(0), 1, LongestOnNs));
        foreach (var pin in lines.GroupBy(line => line.Pin))
        {
            foreach (var (earlier, later) in pin.Zip(pin.Skip(1)))
                Assert.True(later.From - earlier.To >= RestNs - StepLatenessNs, $"{later} has not rested since {earlier}");
        }
    }

    private static void NothingTogether(IReadOnlyList<LineOn> lines)
    {
        foreach (var (one, other) in (ReadOnlySpan<(string, string)>)[("D22", "D23"), ("D24", "D25"), ("D26", "D27")])
        {
            var both = lines.Where(line => line.Pin == one || line.Pin == other).OrderBy(line => line.From).ToList();
            foreach (var (earlier, later) in both.Zip(both.Skip(1)))
                Assert.True(later.From >= earlier.To, $"{earlier} and {later}, which are kept apart, were on together");
        }
    }

    private void IdleAfterEachKill(IReadOnlyList<LineOn> lines)
    {
        foreach (var window in _windows.Where(window => window.Killed is not null))
        {
            var killed = window.Killed!.Value;
            Assert.All(lines.Where(line => line.From <= killed + UnderWayNs && line.To > killed), line =>
                Assert.True(line.To <= killed + HeartbeatNs + HostBoundNs, $"{line} was still on long after its host was killed at {killed}"));
            if (window.AloneUntil is { } alone)
                Assert.DoesNotContain(lines, line => line.From > killed + UnderWayNs && line.From < alone);
        }
    }

    /// <summary>Each process drove every line once for each cycle that it stored; one that was killed, some of them once more.</summary>
    /// <returns>What the kills hit, and how often.</returns>
    private Dictionary<string, int> EachWindowIsExplained(IReadOnlyList<LineOn> lines)
    {
        var hits = new Dictionary<string, int>();
        for (var index = 0; index < _windows.Count; index++)
        {
            var window = _windows[index];
            var end = index + 1 < _windows.Count ? _windows[index + 1].From : long.MaxValue;
            var own = lines.Where(line => line.From >= window.From && line.From < end).ToList();
            ImmutableArray<int> counts = [.. _pins.Select(pin => own.Count(line => line.Pin == pin))];
            if (window.Run is { } id)
                _runs[id].AssertDriven(counts, window.Before, window.After, cut: window.Killed is null ? 0 : 1);
            else
                Assert.Empty(own);
            if (window.Killed is not { } killed)
                continue;
            var hit = own.Exists(line => line.From <= killed && line.To > killed) ? "a burst"
                : counts.All(count => count > window.Cycles) ? "between a cycle's last burst and its place in the store"
                : counts.Any(count => count > window.Cycles) ? "between two bursts of a cycle"
                : own.Count == 0 ? "start-up or preparation"
                : "between two cycles";
            hits[hit] = hits.GetValueOrDefault(hit) + 1;
        }
        return hits;
    }

    [GeneratedRegex(@"resumed after ([0-9]+) cycle")]
    private static partial Regex Resumed();

    [GeneratedRegex(@"^progress +([0-9]+) cycle", RegexOptions.Multiline)]
    private static partial Regex Progress();

    [GeneratedRegex(@"^Session +[0-9]+:", RegexOptions.Multiline)]
    private static partial Regex Session();
}
