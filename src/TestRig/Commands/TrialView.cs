using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Probing;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;
using TestRig.Core.Trials;

namespace TestRig.Commands;

/// <summary>A trial on the screen: what to put into the socket, a line for each part, and what the batch is.</summary>
internal sealed class TrialView(TextScreen screen, SweepView view, ProbeKeys keys)
{
    private const string Legend = "Enter = it is in, s = skip this part, q = that was the last one";

    private bool _headed;

    public void Cautions(Board board) => view.Cautions(board, ExerciseMode.LogicOnly);

    public void Begin(Board board, AdapterIdentity adapter, IsolatorType claimed)
    {
        view.Start(board, adapter);
        screen.Say("Type     ", $"{claimed.Name}, {claimed.Description}: what the parts are said to be.");
        if (!keys.IsUnattended)
            screen.Say("Keys     ", Legend + ".");
    }

    public async Task<ProbeAnswer> AskEmptyAsync(CancellationToken cancellation)
    {
        screen.Say("Socket   ", $"Take any part out, and close the socket. First comes what the adapter's own pins leak.{(keys.IsUnattended ? "" : " Enter when it is empty.")}");
        return await keys.AskAsync(cancellation);
    }

    public void Empty(LevelReading leaks)
    {
        screen.Say("  empty  ", $"{leaks.Mean} at the emitter; it is taken off each leakage.");
        screen.Say();
    }

    public async Task<ProbeAnswer> AskAsync(int number, CancellationToken cancellation)
    {
        if (!keys.IsUnattended)
            screen.Say(string.Create(CultureInfo.InvariantCulture, $"Part {number,-4}"), "Put it in, pin 1 at the socket's pin 1.");
        if (!_headed)
            screen.Say(Row("Part", "Forward V", "Ratio %", "On µs", "Off µs", "Leakage", "Verdict"));
        _headed = true;
        return await keys.AskAsync(cancellation);
    }

    public void Tell(PartTrial part)
    {
        screen.Say(Row(
            part.Number.ToString(CultureInfo.InvariantCulture), Value(part, TrialFigure.LedForward), Value(part, TrialFigure.TransferRatio), Value(part, TrialFigure.OnDelay), Value(part, TrialFigure.OffDelay),
            Value(part, TrialFigure.Leakage), TrialWords.Of(part.Verdict)));
        // Of a part that is refused, what is not known of it besides matters to nobody.
        foreach (var figure in part.Figures.Where(figure => figure.Verdict == part.Verdict && part.Verdict != TrialVerdict.Conforms))
            screen.Say($"      {(figure.Verdict == TrialVerdict.Violates ? "violates  " : "not told  ")}", TrialWords.Sentence(figure));
        foreach (var words in part.Suspicions)
            screen.Say("      suspicion ", words);
    }

    public void Finish(TrialResult result, RunFolder? folder)
    {
        screen.Say();
        if (result.Ending.Length > 0)
            screen.Say("STOPPED  ", result.Ending);
        foreach (var outlier in result.Batch.Outliers)
            screen.Say("Outlier  ", TrialWords.Of(outlier));
        if (!result.Batch.Outliers.IsEmpty)
            screen.Say("         ", TrialWords.OutlierNote + ".");
        foreach (var words in result.Batch.Suspicions)
            screen.Say("Suspicion", " " + words);
        if (TrialWords.Tolerance(result.Batch) is { } tolerance)
            screen.Say("Delivery ", tolerance + ".");
        screen.Say("Note     ", TrialWords.Conditions(result));
        screen.Say("Verdict  ", TrialWords.Verdict(result));
        if (folder is not null)
            screen.Say("Record   ", $"{folder.Path}: trial.html, trial.json, run.log");
    }

    private static string Value(PartTrial part, TrialFigure figure) => TrialWords.Cell(figure, part[figure].Value);

    /// <summary>Within 80 columns.</summary>
    private static string Row(string part, string forward, string ratio, string on, string off, string leakage, string verdict) =>
        $"{part,4}  {forward,-12}{ratio,-13}{on,-11}{off,-13}{leakage,-13}{verdict}";
}
