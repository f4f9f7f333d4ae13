using System.Collections.Immutable;
using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using System.Security.Claims;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Web;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using TestRig.Bench.Probing;
using TestRig.Bench.Reporting;
using TestRig.Bench.Serving;
using TestRig.Core.Scheduling;
using TestRig.Pages;

namespace TestRig.Service;

/// <summary>The pages of the benches. What starts or stops something is a form with a proof that it is ours.</summary>
internal static class BenchPages
{
    private const int JobsShown = 10;

    /// <summary>All benches change more often than anybody reads.</summary>
    private static readonly TimeSpan _betweenLooks = TimeSpan.FromSeconds(1);

    public static void MapBenchPages(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/", (BenchHall hall, ServiceSettings settings, ServiceStore store) => new RazorComponentResult<BenchesPage>(new { ServiceName = settings.Name, Benches = Now(hall), StoreNotice = store.Notice }));
        routes.MapGet("/live", (BenchHall hall, ServiceStore store, IServiceProvider services, ILoggerFactory logs, IHostApplicationLifetime lifetime, TimeProvider time, CancellationToken cancellation) =>
            TypedResults.ServerSentEvents(ListsAsync(hall, store, services, logs, time, lifetime.ApplicationStopping, cancellation)));
        routes.MapGet("/benches/{bench}", (string bench, BenchHall hall, ServiceState state, ClaimsPrincipal user, CancellationToken cancellation) =>
            hall.Find(bench) is { } worker ? PageAsync(worker, state, user, null, null, cancellation) : Task.FromResult(BenchEndpoints.NoBench(bench, hall)));
        routes.MapGet("/benches/{bench}/live", (string bench, BenchHall hall, IServiceProvider services, ILoggerFactory logs, IHostApplicationLifetime lifetime, CancellationToken cancellation) =>
            hall.Find(bench) is { } worker ? TypedResults.ServerSentEvents(PanelsAsync(worker.Bench, services, logs, lifetime.ApplicationStopping, cancellation)) : BenchEndpoints.NoBench(bench, hall));
        var driving = routes.MapGroup("").RequireAuthorization(AccessPolicy.Drive);
        driving.MapPost("/benches/{bench}/ask", AskAsync);
        driving.MapPost("/benches/{bench}/stop", StopAsync);
        driving.MapPost("/benches/{bench}/answer", AnswerAsync);
    }

    private static ImmutableArray<BenchNow> Now(BenchHall hall) => [.. hall.Workers.Select(worker => worker.Bench.Now)];

    /// <param name="form">What was asked for and not begun; null where nothing was.</param>
    private static async Task<IResult> PageAsync(BenchWorker worker, ServiceState state, ClaimsPrincipal user, string? problem, BenchForm? form, CancellationToken cancellation) => new RazorComponentResult<BenchPage>(new
    {
        Bench = worker.Bench.Now,
        Jobs = (await state.JobsAsync(worker.Bench.Settings.Name, null, JobsShown, cancellation)).Where(job => job.IsOver).ToImmutableArray(),
        Channels = worker.Board is { } board ? [.. board.Channels.Select(channel => channel.Name)] : ImmutableArray<string>.Empty,
        Cautions = worker.Board is { } known ? [.. Cautions.For(known, worker.Bench.Now.Armed?.AllowMotion == true ? ExerciseMode.Motion : ExerciseMode.LogicOnly)] : ImmutableArray<string>.Empty,
        MayDrive = user.HasClaim(AccessPolicy.RightClaim, AccessPolicy.Drive),
        Problem = problem,
        Kind = form?.Kind ?? JobKind.Sweep,
        form?.Length,
        form?.Channel,
        form?.Serial,
    })
    {
        StatusCode = problem is null ? StatusCodes.Status200OK : StatusCodes.Status409Conflict,
    };

    private static async Task<IResult> AskAsync(string bench, [FromForm] BenchForm form, BenchHall hall, ServiceState state, ClaimsPrincipal user, CancellationToken cancellation)
    {
        if (hall.Find(bench) is not { } worker)
            return BenchEndpoints.NoBench(bench, hall);
        if (form.Wish is not { Length: > 0 and <= JobEndpoints.LongestKey })
            return await PageAsync(worker, state, user, "The form was not whole. Nothing was begun.", form, cancellation);
        if (form.ToWish().Read(out var problem) is not { } request)
            return await PageAsync(worker, state, user, problem, form, cancellation);
        var name = user.Identity!.Name!;
        var (asked, refusal) = await worker.AskAsync($"page {name} {form.Wish}", request, name, cancellation);
        return asked switch
        {
            null => await PageAsync(worker, state, user, refusal, form, cancellation),
            { Outcome: AskOutcome.QueueFull } => await PageAsync(worker, state, user, JobEndpoints.QueueFull, form, cancellation),
            { Outcome: AskOutcome.KeyTaken } => await PageAsync(worker, state, user, "This form was sent before with other entries. Look at the jobs below, then send it again.", form, cancellation),
            _ => Results.LocalRedirect($"/benches/{bench}"),
        };
    }

    private static async Task<IResult> StopAsync(string bench, [FromForm] long? job, [FromForm] string? when, BenchHall hall, ServiceState state, ClaimsPrincipal user, CancellationToken cancellation)
    {
        if (hall.Find(bench) is not { } worker)
            return BenchEndpoints.NoBench(bench, hall);
        // Of the job that whoever pressed saw: a second click, or a late one, stops nothing that has begun since.
        if (worker.Bench.Now.Running is { } running && running.Id == job)
            await worker.StopAsync(running, user.Identity!.Name!, afterCycle: when == "after-cycle", cancellation);
        return Results.LocalRedirect($"/benches/{bench}");
    }

    private static IResult AnswerAsync(string bench, [FromForm] int question, [FromForm] ProbeAnswer answer, BenchHall hall)
    {
        if (hall.Find(bench) is not { } worker)
            return BenchEndpoints.NoBench(bench, hall);
        // Of a question that does not wait any more, nothing is done: whoever pressed twice sees the next one.
        worker.Answer(question, answer);
        return Results.LocalRedirect($"/benches/{bench}");
    }

    private static async IAsyncEnumerable<SseItem<string>> PanelsAsync(
        LiveBench bench, IServiceProvider services, ILoggerFactory logs, CancellationToken stopping, [EnumeratorCancellation] CancellationToken cancellation)
    {
        await using var renderer = new HtmlRenderer(services, logs);
        await foreach (var now in bench.ChangesAsync(stopping, cancellation))
            yield return LiveEvent.Of(await MarkupAsync<BenchPanel>(renderer, new() { [nameof(BenchPanel.Bench)] = now }), now.Version);
    }

    private static async IAsyncEnumerable<SseItem<string>> ListsAsync(
        BenchHall hall, ServiceStore store, IServiceProvider services, ILoggerFactory logs, TimeProvider time, CancellationToken stopping, [EnumeratorCancellation] CancellationToken cancellation)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(stopping, cancellation);
        await using var renderer = new HtmlRenderer(services, logs);
        var seen = (Version: -1L, Notice: default(string));
        while (!either.IsCancellationRequested)
        {
            var now = Now(hall);
            var latest = (now.Sum(bench => bench.Version), store.Notice);
            if (latest != seen)
                yield return LiveEvent.Of(await MarkupAsync<BenchList>(renderer, new() { [nameof(BenchList.Benches)] = now, [nameof(BenchList.StoreNotice)] = latest.Notice }), latest.Item1);
            seen = latest;
            await Task.Delay(_betweenLooks, time, either.Token).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private static Task<string> MarkupAsync<TComponent>(HtmlRenderer renderer, Dictionary<string, object?> parameters)
        where TComponent : IComponent =>
        renderer.Dispatcher.InvokeAsync(async () => (await renderer.RenderComponentAsync<TComponent>(ParameterView.FromDictionary(parameters))).ToHtmlString());
}
