using System.ComponentModel;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;
using TestRig.Bench.Comparing;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Storage;
using TestRig.Commands;
using TestRig.Core.Judging;

namespace TestRig.Service;

/// <summary>What other programs can ask of the runs that the store keeps.</summary>
internal static class RunEndpoints
{
    private const string Json = "application/json", Png = "image/png";

    /// <summary>Cycles that are judged again for one answer.</summary>
    private const int MostJudged = 100;

    public static IEndpointConventionBuilder MapRuns(this IEndpointRouteBuilder routes)
    {
        var runs = routes.MapGroup("/api/runs").WithTags("Runs");
        runs.AddEndpointFilter(RunProblems.Filter(RunProblems.Details));

        Told(runs.MapGet("", ListAsync), "listRuns", "The runs that are kept, the latest first.", "Format testrig-runs/1. A page; the header 'Link' has the address of the next one (rel=\"next\"). Example: /api/runs?condition=dead&since=2026-03-01", Json)
            .ProducesProblem(StatusCodes.Status400BadRequest);
        Told(runs.MapGet("/{run}", RecordAsync), "getRun", "The record of a run.", "Of a sweep format testrig-run/1 as it was kept, of a soak testrig-soak/1 as it is now, of a trial of parts testrig-trial/1; of a run that never came to drive anything, or a sweep that was cut short, testrig-runs/1. 'testrig runs schema' prints their schemas.", Json)
            .ProducesProblem(StatusCodes.Status404NotFound);
        Asked(Told(runs.MapGet("/{run}/findings", FindingsAsync), "getFindings", "The kept cycles of a run, judged again.", $"Format testrig-judged/1. Without 'cycle' all that are kept, where these are at most {MostJudged}.", Json));
        Asked(Told(runs.MapGet("/{run}/captures", KeptAsync), "listCaptures", "Which cycles' captures are kept, and why.", "Format testrig-kept/1.", Json));
        Asked(Told(
            runs.MapGet("/{run}/captures/{channel}.{form}", CaptureAsync), "getCapture", "What was captured of a channel.",
            "form: vcd (IEEE 1364 value change dump), csv or parquet. Without 'cycle' the sweep as a whole, or the first failing cycle of a soak whose captures are kept.", "application/octet-stream"));
        Asked(Told(
            runs.MapGet("/{run}/channels/{channel}/waveform.png", WaveformAsync), "drawWaveform", "The waveforms of a channel, for a stretch of time, in a size.",
            "Example: /api/runs/RUN/channels/CHANNEL/waveform.png?from=4.9ms&to=5.2ms&width=1280", Png));
        Asked(Told(runs.MapGet("/{run}/channels/{channel}/night.png", NightAsync), "drawNight", "The figures of a channel through the run: what drifts, and when it failed.", "Of runs with more than one cycle.", Png));
        Asked(Told(runs.MapGet("/{run}/channels/{channel}/bounce.png", BounceAsync), "drawBounce", "How a contact of a channel bounced, over all cycles.", "Of runs with more than one cycle.", Png));
        Asked(Told(runs.MapGet("/{run}/map.png", MapAsync), "drawMap", "The map of the board: which stages work.", "Without 'cycle' of the sweep as a whole, or of the first failing cycle of a soak whose captures are kept.", Png));
        Asked(Told(runs.MapGet("/{run}/compared-with/{other}", ComparedAsync), "compareRuns", "What changed between two runs, what of it is significant, and what is not.", "Format testrig-comparison/1. The earlier of the two is the one before.", Json));
        return runs;
    }

    private static RouteHandlerBuilder Told(RouteHandlerBuilder endpoint, string name, string summary, string description, string type) => endpoint
        .WithName(name).WithSummary(summary).WithDescription(description).Produces(StatusCodes.Status200OK, contentType: type).ProducesProblem(StatusCodes.Status503ServiceUnavailable);

    private static void Asked(RouteHandlerBuilder endpoint) => endpoint.ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<IResult> ListAsync([AsParameters] RunListQuery query, IRunStore store, TimeProvider time, HttpContext http)
    {
        var page = await RunListPage.ReadAsync(store, query, time, http.RequestAborted);
        if (page.Next is { } next)
            http.Response.Headers.Link = $"<{http.Request.PathBase}{http.Request.Path}{next}>; rel=\"next\"";
        return Record(RunsJson.Write(page.Runs));
    }

    private static async Task<IResult> RecordAsync([Description("The run, by its name.")] string run, RunReading reading, CancellationToken cancellation)
    {
        var known = await reading.FindAsync(run, cancellation);
        if (known.Heading.Kind == RunKind.Trial)
            return Record(await reading.WorkAsync(async () => (await KeptTrial.ReadAsync(reading.Store, known, cancellation)).Record, cancellation));
        var findings = known.Heading.Kind == RunKind.Sweep || known.Sessions.IsEmpty ? null : await reading.FindingsAsync(known, cancellation);
        return Record(await KeptRecord.ReadAsync(reading.Store, known, findings, cancellation));
    }

    private static async Task<IResult> FindingsAsync(
        [Description("The run, by its name.")] string run, [FromQuery, Description("Only this cycle, or round of a sweep.")] string? cycle, RunReading reading, CancellationToken cancellation)
    {
        var known = await reading.FindOfChannelsAsync(run, cancellation);
        var number = QueryText.Number("cycle", cycle, 1, long.MaxValue);
        if (number is null && (await reading.Store.KeptAsync(run, cancellation)).Count is > MostJudged and var kept)
            throw new BadQueryException($"Run {run} keeps the captures of {kept} cycles, which are too many for one answer: name one with 'cycle'. /api/runs/{run}/captures lists them.");
        var judged = await reading.WorkAsync(
            async () =>
            {
                var cycles = new List<(long Cycle, IReadOnlyList<ChannelResult> Channels)>();
                await foreach (var one in KeptFindings.JudgeAsync(reading.Store, known, KeptProfile.Read(known), number, cancellation))
                    cycles.Add((one.Kept.Cycle, one.Channels));
                return cycles;
            },
            cancellation);
        return Record(RunsJson.Write(run, judged));
    }

    private static async Task<IResult> KeptAsync([Description("The run, by its name.")] string run, RunReading reading, CancellationToken cancellation)
    {
        var known = await reading.FindOfChannelsAsync(run, cancellation);
        return Record(RunsJson.Write(run, await reading.Store.KeptAsync(known.Heading.Id, cancellation)));
    }

    private static async Task<IResult> CaptureAsync(
        [Description("The run, by its name.")] string run, [Description("The channel.")] string channel, [Description("vcd, csv or parquet.")] string form,
        [FromQuery, Description("Of this cycle, or round of a sweep.")] string? cycle, RunReading reading, CancellationToken cancellation)
    {
        var known = await reading.FindOfChannelsAsync(run, cancellation);
        var (wanted, number) = (QueryText.Word<CaptureForm>("form", form)!.Value, QueryText.Number("cycle", cycle, 1, long.MaxValue));
        var captured = await reading.CapturedAsync(known, channel, number, cancellation);
        var result = captured.Exercised(channel)[0];
        var content = await reading.WorkAsync(() => new CaptureExport(captured.Sweep, ProgramVersion.Text).ToBytesAsync(result, wanted, cancellation), cancellation);
        return Results.Bytes(content, TypeOf(wanted), Path.GetFileName(RunFolder.CaptureOf($"{run}-{captured.FileOf(result)}", wanted)));
    }

    private static Task<IResult> WaveformAsync(
        [Description("The run, by its name.")] string run, [Description("The channel.")] string channel, [AsParameters] PictureRequest request, RunReading reading, HttpContext http)
    {
        return PictureAsync(http, reading, run, request.OverlayName, async known =>
        {
            var drawn = await reading.CapturedAsync(known, channel, request.CycleNumber, http.RequestAborted);
            var over = request.OverlayName is { } overlay ? await reading.OverlayAsync(drawn, overlay, http.RequestAborted) : null;
            var picture = request.PictureOf(drawn, channel, over);
            return await reading.WorkAsync(() => request.Draw(picture, reading.Font), http.RequestAborted);
        });
    }

    private static Task<IResult> NightAsync([Description("The run, by its name.")] string run, [Description("The channel.")] string channel, RunReading reading, HttpContext http) =>
        PictureAsync(http, reading, run, null, known => reading.WorkAsync(
            async () => (await NightOf(reading, known, channel, http.RequestAborted)).Drifts is [var picture, ..]
                ? new DriftPlot(reading.Font).ToPng(picture)
                : throw new RunQuestionException($"Nothing of channel '{channel}' was measured more than once in run {run}: there is nothing to draw of its night.", unknown: true),
            http.RequestAborted));

    private static Task<IResult> BounceAsync(
        [Description("The run, by its name.")] string run, [Description("The channel.")] string channel, [FromQuery, Description("The test point at the contact.")] string? point, RunReading reading, HttpContext http)
    {
        return PictureAsync(http, reading, run, null, known => reading.WorkAsync(
            async () =>
            {
                var bounces = (await NightOf(reading, known, channel, http.RequestAborted)).Bounces;
                var wanted = QueryText.Words("point", point);
                return bounces.FirstOrDefault(bounce => wanted is null || bounce.TestPoint == wanted) is { } picture
                    ? new BouncePlot(reading.Font).ToPng(picture)
                    : throw new RunQuestionException($"No contact of channel '{channel}'{(wanted is null ? "" : $" at '{wanted}'")} was seen to bounce in run {run}.{(bounces.IsEmpty ? "" : $" There is {string.Join(", ", bounces.Select(bounce => bounce.TestPoint))}.")}", unknown: true);
            },
            http.RequestAborted));
    }

    private static Task<IResult> MapAsync([Description("The run, by its name.")] string run, [FromQuery, Description("Of this cycle, or round of a sweep.")] string? cycle, RunReading reading, HttpContext http) =>
        PictureAsync(http, reading, run, null, async known =>
        {
            var drawn = await reading.CapturedAsync(known, null, QueryText.Number("cycle", cycle, 1, long.MaxValue), http.RequestAborted);
            return await reading.WorkAsync(() => new BoardMapPlot(reading.Font).ToPng(BoardMap.Of(drawn.Sweep)), http.RequestAborted);
        });

    private static async Task<IResult> ComparedAsync([Description("A run, by its name.")] string run, [Description("Another, by its name.")] string other, RunReading reading, CancellationToken cancellation) =>
        Record(ComparisonJson.Write(await ComparisonAsync(reading, run, other, cancellation)));

    /// <summary>The earlier of the two is the one before.</summary>
    internal static async Task<RunComparison> ComparisonAsync(RunReading reading, string run, string other, CancellationToken cancellation)
    {
        StoredRun[] both = [await reading.FindOfChannelsAsync(run, cancellation), await reading.FindOfChannelsAsync(other, cancellation)];
        if (run == other)
            throw new RunQuestionException($"Run {run} cannot be compared with itself: name another.", unknown: false);
        var (before, after) = both[0].Heading.Started <= both[1].Heading.Started ? (both[0], both[1]) : (both[1], both[0]);
        return await reading.WorkAsync(() => ComparedRuns.ReadAsync(reading.Store, before, after, cancellation), cancellation);
    }

    private static async Task<RunNight> NightOf(RunReading reading, StoredRun run, string channel, CancellationToken cancellation)
    {
        var board = KeptProfile.Read(run);
        CapturedRun.CheckChannel(board, channel);
        return run.Cycles > 1 ? await RunNight.ReadAsync(reading.Store, run, board, channel, cancellation) : new([], []);
    }

    /// <summary>The picture of a run that has come to its end never changes: whoever has it is not drawn it again.</summary>
    private static async Task<IResult> PictureAsync(HttpContext http, RunReading reading, string run, string? overlay, Func<StoredRun, Task<byte[]>> draw)
    {
        var known = await reading.FindOfChannelsAsync(run, http.RequestAborted);
        var over = overlay is null ? null : await reading.Store.FindAsync(overlay, http.RequestAborted);
        var tag = TagOf(http.Request, known, over);
        var headers = http.Response.GetTypedHeaders();
        headers.CacheControl = known.Ended is not null && over is null or { Ended: not null } ? new() { Private = true, MaxAge = TimeSpan.FromDays(1) } : new() { Private = true, NoCache = true };
        headers.ETag = tag;
        if (http.Request.GetTypedHeaders().IfNoneMatch.Any(known => known.Compare(tag, useStrongComparison: false)))
            return Results.StatusCode(StatusCodes.Status304NotModified);
        try
        {
            return Results.Bytes(await draw(known), Png);
        }
        catch
        {
            headers.CacheControl = new() { NoStore = true };
            headers.ETag = null;
            throw;
        }
    }

    /// <summary>All that a picture depends on.</summary>
    private static EntityTagHeaderValue TagOf(HttpRequest request, StoredRun run, StoredRun? over)
    {
        static string State(StoredRun? run) => run is null ? "" : FormattableString.Invariant($"{run.Heading.Id} {run.Heading.Started.UtcTicks} {run.Cycles} {run.Bytes} {run.Ended?.UtcTicks}");
        var parts = string.Join('\n', ProgramVersion.Text, State(run), State(over), request.Path, request.QueryString);
        return new($"\"{Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(parts)))[..32]}\"");
    }

    private static string TypeOf(CaptureForm form) => form switch
    {
        CaptureForm.Vcd => "application/octet-stream",
        CaptureForm.Csv => "text/csv; charset=utf-8",
        CaptureForm.Parquet => "application/vnd.apache.parquet",
        _ => throw new ArgumentOutOfRangeException(nameof(form), form, "Unknown form."),
    };

    private static IResult Record(string json) => Results.Text(json, "application/json; charset=utf-8");
}
