using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;

namespace TestRig.Bench.Soaking;

/// <summary>Keeps one sweep: a run of a cycle for each of its rounds, all of whose captures are kept; and reads it again as it was.</summary>
public static class StoredSweep
{
    /// <param name="run">Of a name that the store does not have; its options are the sweep's.</param>
    /// <param name="pins">Of its adapter.</param>
    /// <param name="record">Of the sweep, as JSON.</param>
    /// <exception cref="RunStorageException">The store takes it not.</exception>
    public static async Task KeepAsync(IRunStore store, RunHeading run, SweepResult result, ImmutableArray<AdapterPin> pins, DateTimeOffset ended, string record, CancellationToken cancellation)
    {
        await store.BeginAsync(run with { Options = SweepFacts.Of(result).ToJson() }, cancellation);
        var session = await store.OpenSessionAsync(run.Id, new(run.Started, AdapterJson.Write(result.Adapter, pins), Environment.MachineName, Environment.ProcessId), cancellation);
        var rounds = result.Rounds.IsEmpty ? [new(result.Started, ended - result.Started, result.Channels)] : result.Rounds;
        for (var number = 1; number <= rounds.Length; number++)
        {
            // What is of the whole sweep stands with its last round.
            var round = result with { Channels = rounds[number - 1].Channels };
            if (number < rounds.Length)
                round = round with { Checks = [], Ending = SweepEnding.Complete, Seen = [] };
            var cycle = CycleRecords.Of(number, round, rounds[number - 1].Started, rounds[number - 1].Took);
            var kept = CycleRecords.Kept(cycle.Failed ? KeepReason.Failure : number == 1 ? KeepReason.First : KeepReason.Sample, round);
            await store.AppendAsync(session, cycle, new Dictionary<long, KeptCycle> { [number] = kept }, cancellation);
        }
        await store.FinishAsync(session, ended, Words.Verdict(result), record, cancellation);
    }

    /// <summary>True where another instrument recorded it. False also where what the store has of its adapter cannot be read: that bars no list.</summary>
    public static bool IsOfRecording(StoredRun run) => run.Sessions is [.., var session] && AdapterJson.KindOf(session) == AdapterIdentity.RecordingKind;

    /// <summary>The sweep as it was, judged and diagnosed anew from its captures.</summary>
    /// <param name="board">By whose profile: the run's own, or a changed one.</param>
    /// <param name="diagnose">Explains what was seen on an adapter with these pins.</param>
    /// <exception cref="RunStorageException">It cannot be read.</exception>
    public static async Task<SweepResult> ReadAsync(IRunStore store, StoredRun run, Board board, Func<SweepResult, ImmutableArray<AdapterPin>, Diagnosis> diagnose, CancellationToken cancellation)
    {
        var facts = SweepFacts.Read(run.Heading.Id, run.Heading.Options);
        var adapter = AdapterJson.Of(run.Heading.Id, run.Sessions[^1]);
        if (adapter.Identity.IsRecording)
            board = RecordedBoard.Of(board, adapter.Pins.Where(pin => pin.Sense).Select(pin => pin.Name).ToHashSet());
        var repeats = board.Channels.ToDictionary(channel => channel.Name, channel => new ChannelRepeats(channel, run.Heading.Mode, adapter.Identity.Look));
        var rounds = ImmutableArray.CreateBuilder<SweepRound>();
        ImmutableArray<Seen> beside = [];
        var words = new Dictionary<string, string>();
        await foreach (var cycle in store.CyclesAsync(run.Heading.Id, 1, cancellation))
        {
            var kept = await store.ReadKeptAsync(run.Heading.Id, cycle.Number, board, cancellation) ?? throw new RunStorageException($"The captures of cycle {cycle.Number} of run {run.Heading.Id} are gone: its report cannot be written again.");
            var reached = cycle.Channels.Select(channel => channel.Channel).ToHashSet();
            rounds.Add(new(cycle.Started, cycle.Took, [.. Rejudging.Of(board, kept, cycle, watchedIdle: false).Where(result => reached.Contains(result.Channel.Name))]));
            foreach (var result in rounds[^1].Channels)
            {
                if (result.Record is null)
                    words.TryAdd(result.Channel.Name, result.Summary);
                else
                    repeats[result.Channel.Name].Add(result);
            }
            beside = kept.Beside;
        }
        ImmutableArray<ChannelResult> channels = [.. board.Channels.Select(channel => repeats[channel.Name].Result ?? ChannelResult.NotExercised(channel, words.GetValueOrDefault(channel.Name, Rejudging.NotExercised)))];
        var sweep = new SweepResult(board, adapter.Identity, run.Heading.Mode, facts.Started, channels, facts.Checks, Diagnosis.None, facts.Ending, facts.PlannedStimulus, facts.StimulusElapsed)
        {
            Together = facts.Together,
            Repeats = facts.Repeats,
            Rounds = facts.Repeats > 1 ? rounds.ToImmutable() : [],
            Link = facts.Link,
            Seen = [.. beside, .. channels.SelectMany(channel => ChannelSights.Of(board, channel))],
        };
        return sweep with { Diagnosis = diagnose(sweep, adapter.Pins) };
    }
}
