using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using TestRig.Bench.Files;
using TestRig.Bench.Serving;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>For whoever keeps the service running: it tells nothing of benches, and needs no token.</summary>
internal static class HealthEndpoints
{
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(5);

    public static void MapHealth(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/health/live", (BenchHall hall) => Answer(hall.Workers.All(worker => worker.IsAlive(ServiceSupervision.Patience)) ? [] : ["a bench is not looked after"]))
            .WithName("isAlive").WithSummary("Whether all benches are looked after.").Produces(200).Produces(503);
        routes.MapGet("/health/ready", async (ServiceState state, IRunStore store, CancellationToken cancellation) =>
        {
            using var patience = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
            patience.CancelAfter(_patience);
            var problems = new List<string>();
            await LookAsync("the service's memory cannot be read", () => state.JobsAsync(null, null, 1, patience.Token));
            await LookAsync("the run store cannot be reached", () => store.FindAsync("no-run", patience.Token));
            return Answer(problems);

            async Task LookAsync(string problem, Func<Task> look)
            {
                try
                {
                    await look();
                }
                catch (Exception unreachable) when (unreachable is RunStorageException or OperationCanceledException)
                {
                    problems.Add(problem);
                }
            }
        }).WithName("isReady").WithSummary("Whether jobs can be asked for and runs be read.").Produces(200).Produces(503);
    }

    private static IResult Answer(List<string> problems) =>
        Results.Text(problems.Count == 0 ? "good\n" : string.Concat(problems.Select(problem => problem + "\n")), statusCode: problems.Count == 0 ? StatusCodes.Status200OK : StatusCodes.Status503ServiceUnavailable);
}
