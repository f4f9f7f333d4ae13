using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Probing;
using TestRig.Core.Boards;

namespace TestRig.Service;

/// <summary>The person with the roving lead, who answers from a browser.</summary>
internal sealed class RemoteOperator(LiveBench bench, Channel channel, TimeProvider time) : IProbeOperator, IDisposable
{
    /// <summary>Nobody holds a lead so long: the bench is free for others then.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(30);

    /// <summary>As many suspects as a phone shows above the question's buttons.</summary>
    private const int MostSuspects = 6;

    private readonly Lock _lock = new();
    private readonly HashSet<string> _told = [];
    private (int Number, TaskCompletionSource<ProbeAnswer> Answer)? _open;
    private string _pin = "";

    /// <summary>Why it ended, where nobody stopped the job.</summary>
    public string WhyEnded { get; private set; } = "Ended by whoever held the lead.";

    public void Begin(Board board, AdapterIdentity adapter, string pin, IEnumerable<ProbePoint> refused)
    {
        _pin = pin;
        var taken = board.TestPoints.FirstOrDefault(point => point.AdapterPin == pin) is { } other ? $", where the profile has {other.Name}: that lead is off" : "";
        bench.Update(now => now with { Probe = new(channel.Name, $"line '{channel.Line.Name}' at {channel.DrivenAt.Name}; the roving lead is at adapter pin {pin}{taken}", null, null, null, [.. refused.Select(point => point.Refused!)], [], [], []) });
    }

    public void Tell(CheckDone check)
    {
        if (!check.Good && _told.Add($"{check.Name}: {check.Words}"))
            Show(probe => probe with { Checks = probe.Checks.Add($"{check.Name}: {check.Words}") });
    }

    public async Task<ProbeAnswer> AskAsync(ProbeQuestion question, CancellationToken cancellation)
    {
        var answer = new TaskCompletionSource<ProbeAnswer>(TaskCreationOptions.RunContinuationsAsynchronously);
        lock (_lock)
            _open = (question.Number, answer);
        Show(probe => probe with { Question = question.Number, Touch = ProbeWords.Touch(question, _pin), Expected = ProbeWords.Expected(question, channel) });
        try
        {
            return await answer.Task.WaitAsync(_patience, time, cancellation);
        }
        catch (TimeoutException)
        {
            WhyEnded = $"Nobody answered for {_patience.TotalMinutes:0} minutes.";
            return ProbeAnswer.Quit;
        }
        finally
        {
            lock (_lock)
                _open = null;
            Show(probe => probe with { Question = null, Touch = null, Expected = null });
        }
    }

    public void Tell(ProbeStep done) => Show(probe => probe with
    {
        Seen = probe.Seen.Insert(0, ProbeWords.Seen(done)),
        Suspects = [.. done.Suspects.Take(MostSuspects).Select(suspect => new ProbedSuspect(ProbeWords.Of(suspect), suspect.Belief))],
    });

    /// <returns>False where this question does not wait.</returns>
    public bool Answer(int question, ProbeAnswer answer)
    {
        lock (_lock)
            return _open is { } open && open.Number == question && open.Answer.TrySetResult(answer);
    }

    /// <summary>Whoever is still asked gets no more answers.</summary>
    public void Dispose()
    {
        lock (_lock)
            _open?.Answer.TrySetResult(ProbeAnswer.Quit);
    }

    private void Show(Func<LiveProbe, LiveProbe> change) => bench.Update(now => now with { Probe = change(now.Probe!) });
}
