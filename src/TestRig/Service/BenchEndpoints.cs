using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;

namespace TestRig.Service;

/// <summary>Benches, for other programs.</summary>
internal static class BenchEndpoints
{
    public static void MapBenches(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/benches", (BenchHall hall) => hall.Workers.Select(worker => BenchEntry.Of(worker.Bench.Now)).ToArray())
            .WithName("listBenches").WithSummary("All benches as they are now.");
        routes.MapGet("/benches/{bench}", (string bench, BenchHall hall) => hall.Find(bench) is { } worker ? Results.Ok(BenchEntry.Of(worker.Bench.Now)) : NoBench(bench, hall))
            .WithName("getBench").WithSummary("A bench as it is now.").Produces<BenchEntry>().ProducesProblem(404);
        routes.MapGet("/benches/{bench}/live", (string bench, BenchHall hall, IHostApplicationLifetime lifetime, CancellationToken cancellation) => hall.Find(bench) is { } worker
                ? TypedResults.ServerSentEvents(EntriesAsync(worker.Bench, lifetime.ApplicationStopping, cancellation))
                : NoBench(bench, hall))
            .WithName("watchBench").WithSummary("A bench, again whenever something of it changes: server-sent events, each with what getBench tells.").Produces<BenchEntry>(200, "text/event-stream").ProducesProblem(404);
    }

    public static void MapStore(this IEndpointRouteBuilder routes) => routes.MapGet("/store", StoreEntry.Of)
        .WithName("getStore").WithSummary("The run store: how it fares, and what waits here until it answers.");

    public static IResult NoBench(string bench, BenchHall hall) =>
        Problems.Of(StatusCodes.Status404NotFound, $"There is no bench '{bench}'.", $"This service has {string.Join(", ", hall.Workers.Select(worker => worker.Bench.Settings.Name))}.");

    private static async IAsyncEnumerable<SseItem<BenchEntry>> EntriesAsync(LiveBench bench, CancellationToken stopping, [EnumeratorCancellation] CancellationToken cancellation)
    {
        await foreach (var now in bench.ChangesAsync(stopping, cancellation))
            yield return LiveEvent.Of(BenchEntry.Of(now), now.Version);
    }
}
