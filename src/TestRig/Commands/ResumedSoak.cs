using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>A soak that is gone on with as it was begun.</summary>
internal static class ResumedSoak
{
    /// <param name="profile">What the profile is called, for people.</param>
    /// <param name="source">What it says now.</param>
    /// <param name="motorOffConfirmed">Somebody answers for it again.</param>
    /// <param name="noStopInputAcknowledged">Somebody accepts it again.</param>
    /// <exception cref="BadUsageException">There is no such run, or it is not to be resumed so.</exception>
    /// <exception cref="Bench.Files.RunStorageException">The store cannot be read.</exception>
    public static async Task<(StoredRun Run, SoakOptions Options)> ReadAsync(
        IRunStore store, string name, string profile, ProfileSource source, bool simulated, bool motorOffConfirmed, bool noStopInputAcknowledged, CancellationToken cancellation)
    {
        var run = await store.FindAsync(name, cancellation) ?? throw new BadUsageException([$"There is no run '{name}' in {store.Place}. Runs there: testrig runs."]);
        if (run.Heading.Kind != RunKind.Soak)
            throw new BadUsageException([$"Run {name} is no soak: there is nothing to go on with. Begin a new run; what this one found tells 'testrig runs show {name}'."]);
        if (run.Ended is not null)
            throw new BadUsageException([$"Run {name} has come to its end: {run.Verdict} Begin a new one."]);
        if (run.Heading.Profile.Text != source.Text || !run.Heading.Profile.Parts.SequenceEqual(source.Parts))
            throw new BadUsageException([$"{profile} is not the profile with which run {name} was begun ({run.Heading.Profile.Path}, board {run.Heading.Board}), or was changed since. Go on with that one, or begin a new run."]);
        if (run.Heading.Simulated != simulated)
            throw new BadUsageException([run.Heading.Simulated ? $"Run {name} is of the simulated bench: add --adapter simulated, and its --fault and --seed." : $"Run {name} is of a real board: leave --adapter simulated, --fault and --seed out."]);
        var options = SoakOptionsJson.Read(name, run.Heading.Options);
        return (run, options with { Sweep = options.Sweep with { MotorOffConfirmed = motorOffConfirmed, NoStopInputAcknowledged = noStopInputAcknowledged } });
    }
}
