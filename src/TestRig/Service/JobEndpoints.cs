using System.Security.Claims;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>Jobs, for other programs. What starts or stops one takes a token in the request itself, never a browser's cookie.</summary>
internal static class JobEndpoints
{
    private const int MostAtOnce = 200;

    public const int LongestKey = 100;

    /// <summary>Why nothing more can be asked for.</summary>
    public static readonly string QueueFull = $"{ServiceState.MostWaiting} jobs wait already. Stop some of them first.";

    public static void MapJobs(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs", async (string? bench, long? before, int? limit, ServiceState state, CancellationToken cancellation) =>
                (await state.JobsAsync(bench, before, Math.Clamp(limit ?? 50, 1, MostAtOnce), cancellation)).Select(JobEntry.Of).ToArray())
            .WithName("listJobs").WithSummary($"Jobs, the latest first. 'before' is the number of the last one seen, 'limit' at most {MostAtOnce}.");
        routes.MapGet("/jobs/{job:long}", async (long job, ServiceState state, CancellationToken cancellation) => await state.FindJobAsync(job, cancellation) is { } known ? Results.Ok(JobEntry.Of(known)) : NoJob(job))
            .WithName("getJob").WithSummary("One job.").Produces<JobEntry>().ProducesProblem(404);
    }

    public static void MapDriving(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/benches/{bench}/jobs", AskAsync)
            .WithName("askForJob")
            .WithSummary("Asks for a sweep or a soak. Lines are driven for it, so the bench must be armed. The header Idempotency-Key names the wish: the same key again starts nothing more, and answers with the same job.")
            .Produces<JobEntry>(201).Produces<JobEntry>(200).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409).ProducesProblem(429);
        routes.MapPost("/jobs/{job:long}/stop", StopAsync)
            .WithName("stopJob").WithSummary("Stops a job at once, lines idle; with afterCycle=true a soak finishes its cycle first.").Produces<JobEntry>().ProducesProblem(404).ProducesProblem(409);
    }

    private static async Task<IResult> AskAsync(
        string bench, JobWish wish, [FromHeader(Name = "Idempotency-Key")] string? key, BenchHall hall, ClaimsPrincipal user, CancellationToken cancellation)
    {
        if (hall.Find(bench) is not { } worker)
            return BenchEndpoints.NoBench(bench, hall);
        if (key is not { Length: > 0 and <= LongestKey })
            return Problems.Of(StatusCodes.Status400BadRequest, "The header Idempotency-Key is missing, or too long.", $"Send one of your own for each wish, at most {LongestKey} characters: should the answer be lost, ask again with the same key, and nothing is driven twice.");
        if (wish.Read(out var problem) is not { } request)
            return Problems.Of(StatusCodes.Status400BadRequest, "This cannot be asked for.", problem!);
        var name = user.Identity!.Name!;
        var (asked, refusal) = await worker.AskAsync($"token {name} {key}", request, name, cancellation);
        return asked switch
        {
            null => Problems.Of(StatusCodes.Status409Conflict, "Nothing was begun.", refusal!),
            { Outcome: AskOutcome.QueueFull } => Problems.Of(StatusCodes.Status429TooManyRequests, "The queue of this bench is full.", QueueFull),
            { Outcome: AskOutcome.KeyTaken } => Problems.Of(StatusCodes.Status409Conflict, "This Idempotency-Key belongs to another wish.", $"It became job {asked.Job!.Id}. Choose another key for another wish."),
            { Outcome: AskOutcome.Known } => Results.Ok(JobEntry.Of(asked.Job!)),
            _ => Results.Created($"/api/jobs/{asked.Job!.Id}", JobEntry.Of(asked.Job)),
        };
    }

    private static async Task<IResult> StopAsync(long job, bool? afterCycle, BenchHall hall, ServiceState state, ClaimsPrincipal user, CancellationToken cancellation)
    {
        if (await state.FindJobAsync(job, cancellation) is not { } known)
            return NoJob(job);
        // Of a bench that the configuration no longer has, nothing runs.
        return hall.Find(known.Bench) is { } worker && await worker.StopAsync(known, user.Identity!.Name!, afterCycle ?? false, cancellation)
            ? Results.Ok(JobEntry.Of((await state.FindJobAsync(job, cancellation))!))
            : Problems.Of(StatusCodes.Status409Conflict, $"Job {job} is over already.", known.Words ?? "");
    }

    private static IResult NoJob(long job) => Problems.Of(StatusCodes.Status404NotFound, $"There is no job {job}.", "See '/api/jobs'.");
}
