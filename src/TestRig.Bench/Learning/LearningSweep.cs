using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Learning;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Learning;

/// <summary>A sweep of several rounds on a board, or of one channel, that is taken to be good, and the windows that its delays propose.</summary>
/// <param name="options">With two repeats or more.</param>
/// <param name="from">The channel to learn from; null for each channel from itself.</param>
/// <param name="target">The channel that the windows are for; null for the measured one.</param>
public sealed class LearningSweep(Board board, IAdapter adapter, SweepOptions options, Channel? from, Channel? target, ToleranceAim aim)
{
    /// <summary>What was swept, and what was learned from it; nothing where the sweep did not come to its end.</summary>
    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was driven.</exception>
    public async Task<(SweepResult Sweep, ImmutableArray<LearnedChannel> Learned)> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var rounds = new Rounds(progress);
        var swept = from is null ? board : board with { Channels = [from] };
        var result = await new Sweep(swept, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(rounds, cancellation);
        if (result.Ending.Outcome != SweepOutcome.Complete)
            return (result, []);
        var learner = new WindowLearner(aim, adapter.Identity.Resolution);
        return (result, [.. swept.Channels.Select(channel => learner.Learn(rounds.Of(channel), target ?? channel))]);
    }

    /// <summary>Keeps what each round found, and passes all on.</summary>
    private sealed class Rounds(IProgress<SweepEvent> next) : IProgress<SweepEvent>
    {
        private readonly List<RoundDone> _done = [];

        public ImmutableArray<ChannelResult> Of(Channel channel) => [.. _done.SelectMany(round => round.Results).Where(result => result.Channel == channel)];

        public void Report(SweepEvent value)
        {
            if (value is RoundDone round)
                _done.Add(round);
            next.Report(value);
        }
    }
}
