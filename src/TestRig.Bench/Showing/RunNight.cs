using System.Collections.Immutable;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Showing;

/// <summary>What of a run drifted from cycle to cycle, or from round to round of a sweep, when it failed, and how its contacts bounced: to be drawn.</summary>
public sealed record RunNight(ImmutableArray<DriftPicture> Drifts, ImmutableArray<BouncePicture> Bounces)
{
    /// <param name="board">By whose profile.</param>
    /// <param name="channel">Only this one; null for all.</param>
    /// <returns>Without pictures of a run that never came to drive anything.</returns>
    /// <exception cref="Files.RunStorageException">It cannot be read.</exception>
    public static async Task<RunNight> ReadAsync(IRunStore store, StoredRun run, Board board, string? channel, CancellationToken cancellation)
    {
        var soak = new StoredSoak(run, board, CapturedRun.WatchedIdle(run), (_, _) => Diagnosis.None);
        await soak.ReadAsync(store, cancellation);
        return soak.Findings() is not { } findings
            ? new([], [])
            : new([.. DriftPicture.OfAll(findings).Where(picture => channel is null || picture.Channel == channel)], await BouncesAsync(store, findings, channel, cancellation));
    }

    /// <summary>Of every contact, from all cycles.</summary>
    private static async Task<ImmutableArray<BouncePicture>> BouncesAsync(IRunStore store, SoakFindings findings, string? channel, CancellationToken cancellation)
    {
        var values = new Dictionary<FigureKey, List<long>>();
        await foreach (var cycle in store.CyclesAsync(findings.Run.Id, 1, cancellation))
        {
            foreach (var figure in cycle.Figures.Where(figure => figure.Key.Kind is FigureKind.Bounces or FigureKind.SettleTime && (channel is null || figure.Key.Channel == channel)))
            {
                if (!values.TryGetValue(figure.Key, out var known))
                    values[figure.Key] = known = [];
                known.Add(figure.Value);
            }
        }
        return [.. BouncePicture.OfAll(findings, values.ToDictionary(entry => entry.Key, entry => (IReadOnlyList<long>)entry.Value))];
    }
}
