using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>What one point did in the pulses on one line.</summary>
/// <param name="look">Time between two looks of the adapter; zero where it is not known.</param>
internal sealed class PointRecord(Line line, string point, Duration look)
{
    private readonly DelayRepeats _on = new(look, causeIsStepped: true);
    private readonly DelayRepeats _off = new(look, causeIsStepped: true);
    private readonly List<bool> _follows = [];
    private int _bounces;
    private Duration _settle;

    public Line Line => line;

    public string Point => point;

    /// <summary>First changes behind both edges of the command, of the pulses that it answered, by the pulse's number; with the command's own changes.</summary>
    public Dictionary<int, (Change Command, Change Answer)[]> Answers { get; } = [];

    /// <summary>Pulses in which it was looked at all the time.</summary>
    public int Seen { get; private set; }

    /// <summary>Pulses in which it changed before anything was commanded.</summary>
    public int Restless { get; private set; }

    /// <summary>Pulses in which it changed after the command at all.</summary>
    public int Stirred { get; private set; }

    /// <summary>True when it answered every pulse, the same way each time.</summary>
    public bool AnswersAlways => Seen > 0 && Answers.Count == Seen && _follows.Distinct().Count() == 1;

    public void Add(int pulse, Signal signal, CommandEdges edges, Capture capture)
    {
        if (capture.Gaps.Any(gap => gap.Overlaps(edges.On.From, capture.End)) || edges is not { On.Change: { } on, Off.Change: { } off })
            return;
        Seen++;
        Restless += signal.Changes.Any(change => change.NotAfter <= edges.On.From) ? 1 : 0;
        var (forth, back) = (Arrival.Of(signal, edges.On.From, edges.On.To), Arrival.Of(signal, edges.Off.From, edges.Off.To));
        Stirred += forth.Changes.IsEmpty && back.Changes.IsEmpty ? 0 : 1;
        if (forth.First?.NotBefore(on.After) is not { } first || back.First?.NotBefore(off.After) is not { } last || forth.After == forth.Before || back.After == back.Before)
            return;
        Answers[pulse] = [(on, first), (off, last)];
        _follows.Add(forth.After == line.Active);
        _on.Add(MeasuredDelay.Between(on, first, capture.ClockTolerance));
        _off.Add(MeasuredDelay.Between(off, last, capture.ClockTolerance));
        _bounces = Math.Max(_bounces, Math.Max(forth.Bounces, back.Bounces));
        _settle = Duration.Max(_settle, Duration.Max(forth.SettleTime, back.SettleTime));
    }

    /// <summary>Of a point that answers always.</summary>
    public DraftAnswer Answer => new(line, point, _follows[0], Seen, Answers.Count, _on.Mean, _off.Mean, _bounces, _settle);
}
