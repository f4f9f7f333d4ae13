using System.Globalization;
using TestRig.Bench.Exercising;
using TestRig.Bench.Probing;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>Probing on the screen: where to touch, what is expected there, what was seen, and what is left.</summary>
internal sealed class ProbeView(TextScreen screen, SweepView view, Channel channel, ProbeKeys keys) : IProbeOperator
{
    /// <summary>As many suspects as fit beside the board.</summary>
    private const int MostSuspects = 6;

    private readonly HashSet<string> _told = [];
    private string _pin = "";

    public void Begin(Board board, Bench.Adapters.AdapterIdentity adapter, string pin, IEnumerable<ProbePoint> refused)
    {
        _pin = pin;
        view.Start(board, adapter);
        foreach (var point in refused)
            screen.Say("CAUTION  ", $"Not touched: {point.Refused}");
        screen.Say("Channel  ", $"{channel.Name}: line '{channel.Line.Name}' at {channel.DrivenAt.Name}, roving lead at adapter pin {pin}{(board.TestPoints.FirstOrDefault(point => point.AdapterPin == pin) is { } other ? $", where the profile has {other.Name}: that lead is off" : "")}.");
        if (keys.IsLive)
            screen.Say("Keys     ", $"{ProbeKeys.Legend}. Hold the tip still until the answer is there.");
        screen.Say();
    }

    /// <summary>Each touch is a sweep: what its checks say is said once, and again when it changes to the worse.</summary>
    public void Tell(CheckDone check)
    {
        if (_told.Add(check.Name + (check.Good ? "" : check.Words)))
            view.Say(check);
    }

    public async Task<ProbeAnswer> AskAsync(ProbeQuestion question, CancellationToken cancellation)
    {
        screen.Say();
        screen.Say(string.Create(CultureInfo.InvariantCulture, $"Touch {question.Number,-3}"), ProbeWords.Touch(question, _pin));
        screen.Say("  expect ", ProbeWords.Expected(question, channel));
        return await keys.AskAsync(cancellation);
    }

    public void Tell(ProbeStep done)
    {
        screen.Say("  seen   ", ProbeWords.Seen(done));
        var left = done.Suspects.Take(MostSuspects).ToList();
        for (var i = 0; i < left.Count; i++)
            screen.Say(i == 0 ? "  left   " : "         ", $"{Words.Percent(left[i].Belief)}  {ProbeWords.Of(left[i])}");
    }

    public void Finish(ProbeResult result)
    {
        screen.Say();
        if (result.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", result.Ending.Words);
        foreach (var fault in result.Faults)
        {
            screen.Say("Fault    ", $"in {channel.Name}");
            foreach (var suspect in fault.Suspects)
                screen.Say($"  {Words.Percent(suspect.Belief)}   ", Words.Of(suspect));
            screen.Say("  do     ", fault.Advice);
        }
        screen.Say("Verdict  ", ProbeWords.Verdict(result));
    }
}
