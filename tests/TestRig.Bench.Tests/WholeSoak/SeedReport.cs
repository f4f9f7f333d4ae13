using System.Diagnostics;
using System.Globalization;
using System.Text;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Many seeds one after the other: what they came to, and how a failing one is seen again.</summary>
internal sealed class SeedReport
{
    private readonly FaultCount _faults = new();
    private readonly List<SeedOutcome> _broken = [];
    private readonly Stopwatch _clock = Stopwatch.StartNew();
    private long _seeds;
    private long _cycles;
    private long _checks;
    private long _processes;

    public IReadOnlyList<SeedOutcome> Broken => _broken;

    public void Add(SeedOutcome outcome)
    {
        _seeds++;
        _cycles += outcome.Cycles;
        _checks += outcome.Checks;
        _processes += outcome.Processes;
        _faults.Add(outcome.Faults);
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
        text.Append(CultureInfo.InvariantCulture, $"  the same again: tools/simulate --seed {broken.Scenario.Seed}");
        return text.ToString();
    }

    public string Summary()
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"{_seeds} seeds, {_seeds / _clock.Elapsed.TotalSeconds:0.0} a second; {_cycles} cycles, {_processes} processes; held {_checks} times against what must hold");
        foreach (var (kind, times) in _faults.Kinds)
            text.AppendLine(CultureInfo.InvariantCulture, $"  {kind}: {times}");
        text.Append(CultureInfo.InvariantCulture, $"{_seeds - _broken.Count} held, {_broken.Count} broken");
        return text.ToString();
    }
}
