using System.Diagnostics;
using System.Globalization;
using System.Text;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Many seeds: what they came to, and how a failing one is seen again.</summary>
internal sealed class SeedReport
{
    private readonly FaultCount _faults = new();
    private readonly SortedDictionary<string, (long Seeds, long Cycles)> _boards = new(StringComparer.Ordinal);
    private readonly List<SeedOutcome> _broken = [];
    private readonly Stopwatch _clock = Stopwatch.StartNew();
    private long _seeds;
    private long _cycles;
    private long _checks;
    private long _processes;

    /// <summary>In the order of their seeds.</summary>
    public IEnumerable<SeedOutcome> Broken => _broken.OrderBy(outcome => outcome.Scenario.Seed);

    public long Cycles => _cycles;

    public void Add(SeedOutcome outcome)
    {
        _seeds++;
        _cycles += outcome.Cycles;
        _checks += outcome.Checks;
        _processes += outcome.Processes;
        _faults.Add(outcome.Faults);
        var board = $"{outcome.Scenario.Profile}{(outcome.Scenario.Mode == ExerciseMode.Motion ? " with motion" : "")}";
        var (seeds, cycles) = _boards.GetValueOrDefault(board);
        _boards[board] = (seeds + 1, cycles + outcome.Cycles);
        if (outcome.Broken is not null)
            _broken.Add(outcome);
    }

    /// <summary>A failing seed with the last of its history, and the command that makes the same history again.</summary>
    public static string Of(SeedOutcome broken, int lines)
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"SEED {broken.Scenario.Seed} BROKEN: {broken.Broken}");
        text.AppendLine(CultureInfo.InvariantCulture, $"  {broken.Scenario}");
        foreach (var line in broken.Trace.Tail.TakeLast(lines))
            text.AppendLine(CultureInfo.InvariantCulture, $"    {line}");
        text.Append(CultureInfo.InvariantCulture, $"  the same again: tools/simulate --seed {broken.Scenario.Seed}{(broken.Scenario.IsLong ? " --long" : "")}");
        return text.ToString();
    }

    /// <summary>How far it has come, in one line.</summary>
    public string Progress() => string.Create(
        CultureInfo.InvariantCulture,
        $"{_clock.Elapsed:hh\\:mm\\:ss}: {_seeds} seeds, {_cycles} cycles, {_cycles / _clock.Elapsed.TotalSeconds:0.0} cycles a second; {_broken.Count} broken");

    public string Summary()
    {
        var seconds = _clock.Elapsed.TotalSeconds;
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"{_seeds} seeds, {_seeds / seconds:0.0} a second; {_cycles} cycles, {_cycles / seconds:0.0} a second; {_processes} processes; held {_checks} times against what must hold");
        foreach (var (board, seeds) in _boards)
            text.AppendLine(CultureInfo.InvariantCulture, $"  on {board}: {seeds.Seeds} seeds, {seeds.Cycles} cycles");
        foreach (var (kind, times) in _faults.Kinds)
            text.AppendLine(CultureInfo.InvariantCulture, $"  {kind}: {times}");
        text.Append(CultureInfo.InvariantCulture, $"{_seeds - _broken.Count} held, {_broken.Count} broken");
        return text.ToString();
    }
}
