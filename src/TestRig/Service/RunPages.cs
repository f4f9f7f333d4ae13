using System.Collections.Immutable;
using System.Globalization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Commands;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Pages;

namespace TestRig.Service;

/// <summary>The pages of runs: the list, one run, two side by side.</summary>
internal static class RunPages
{
    private const int OthersOffered = 10;

    /// <summary>A stretch shows at least so many times what the adapter resolves: closer up there is nothing more to see.</summary>
    private const int LeastInResolutions = 8;

    public static IEndpointConventionBuilder MapRunPages(this IEndpointRouteBuilder routes)
    {
        var pages = routes.MapGroup("/runs").ExcludeFromDescription();
        pages.AddEndpointFilter(RunProblems.Filter((status, title, words) => new RazorComponentResult<ProblemPage>(new { Title = title, Words = words }) { StatusCode = status }));
        pages.MapGet("", ListAsync);
        pages.MapGet("/{run}", RunAsync);
        pages.MapGet("/{run}/beside/{other}", BesideAsync);
        return pages;
    }

    private static async Task<IResult> ListAsync([AsParameters] RunListQuery query, IRunStore store, TimeProvider time, HttpContext http)
    {
        var page = await RunListPage.ReadAsync(store, query, time, http.RequestAborted);
        return Page<RunsPage>(new()
        {
            [nameof(RunsPage.Filter)] = new RunListForm(query.Board, query.Serial, query.Condition, query.Kind, query.Failed, query.Since, query.Until),
            [nameof(RunsPage.Runs)] = page.Runs,
            [nameof(RunsPage.Next)] = page.Next,
        });
    }

    private static async Task<IResult> RunAsync(string run, [AsParameters] StretchQuery query, RunReading reading, CancellationToken cancellation)
    {
        var known = await reading.FindAsync(run, cancellation);
        var view = known switch
        {
            { Heading.Kind: RunKind.Trial } => OfTrial(known, (await reading.WorkAsync(() => KeptTrial.ReadAsync(reading.Store, known, cancellation), cancellation)).Result),
            { Heading.Kind: RunKind.Soak } => await OfSoakAsync(known, query, reading, cancellation),
            _ => await OfSweepAsync(known, query, reading, cancellation),
        };
        return Page<RunPage>(new() { [nameof(RunPage.View)] = view with { Others = await OthersAsync(known, reading, cancellation) } });
    }

    private static async Task<IResult> BesideAsync(string run, string other, [AsParameters] StretchQuery query, RunReading reading, CancellationToken cancellation)
    {
        var comparison = await RunEndpoints.ComparisonAsync(reading, run, other, cancellation);
        var (before, after) = (await DrawnAsync(comparison.Before.Run, reading, cancellation), await DrawnAsync(comparison.After.Run, reading, cancellation));
        var page = $"/runs/{run}/beside/{other}";
        var channels = comparison.Channels.Select(change => new BesideChannel(
            change, PlotOf(before, change.Channel, query, page, "before", isHalf: true), PlotOf(after, change.Channel, query, page, "after", isHalf: true)));
        return Page<BesidePage>(new() { [nameof(BesidePage.View)] = new BesideView(comparison, [.. channels]) });
    }

    /// <summary>Null where no captures are kept of it: then there are fewer pictures.</summary>
    private static async Task<CapturedRun?> DrawnAsync(StoredRun run, RunReading reading, CancellationToken cancellation) =>
        (await reading.Store.KeptAsync(run.Heading.Id, cancellation)).Count == 0 ? null : await reading.CapturedAsync(run, null, null, cancellation);

    private static async Task<RunView> OfSweepAsync(StoredRun run, StretchQuery query, RunReading reading, CancellationToken cancellation)
    {
        var sweep = await reading.SweepAsync(run, cancellation);
        var drawn = query.CycleNumber is { } number ? await reading.CapturedAsync(run, null, number, cancellation) : new CapturedRun(run, null, sweep);
        var kept = await reading.Store.KeptAsync(run.Heading.Id, cancellation);
        var page = PageOf(run, drawn.Cycle);
        return new(
            run, sweep.AnyFaulty ? BadgeKind.Bad : sweep.Incomplete ? BadgeKind.Open : BadgeKind.Good, Words.Verdict(sweep), SpareWords.Now(sweep.Spares) is { Length: > 0 } parts ? parts : null,
            ReportFragments.Explanation(sweep), drawn.Cycle is { } round ? $"Round {SoakWords.Number(round)} of the sweep, by itself." : "",
            [.. drawn.Sweep.Channels.Select(channel => new ChannelView(
                channel.Channel.Name, channel.IsFaulty, ReportFragments.Badge(channel.Condition), ReportFragments.Summary(channel), PlotOf(drawn, channel.Channel.Name, query, page, "", isHalf: false), ReportFragments.Findings(channel), "",
                run.Cycles > 1 ? NightOf(run, channel.Channel.Name) : null, CapturesOf(drawn, channel)))])
        {
            Kind = sweep.Adapter.IsRecording ? "Recording" : "Sweep",
            Facts = Facts(run, Words.Of(sweep.Board, sweep.Mode), $"{Words.Adapter(sweep.Adapter)}; resolution {sweep.Adapter.Resolution}", Words.Of(sweep.Link, sweep.Ending)),
            Kept = kept.Count > 1 ? [.. kept] : [],
            Cycle = drawn.Cycle,
            Map = ($"/api/runs/{run.Heading.Id}/map.png{(drawn.Cycle is null ? "" : $"?{CycleQuery(drawn.Cycle)}")}", PictureDescription.Of(BoardMap.Of(drawn.Sweep))),
            Sections = Sections(("notes", ReportFragments.Notes(BoardRecord.Of(run))), ("checks", ReportFragments.Checks(sweep))),
            Notes = ReportFragments.Reading(sweep) + ReportFragments.Cautions(sweep.Board, sweep.Mode, sweep.Adapter),
        };
    }

    private static async Task<RunView> OfSoakAsync(StoredRun run, StretchQuery query, RunReading reading, CancellationToken cancellation)
    {
        var findings = await reading.FindingsAsync(run, cancellation);
        var kept = await reading.Store.KeptAsync(run.Heading.Id, cancellation);
        var drawn = kept.Count == 0 && query.CycleNumber is null ? null : await reading.CapturedAsync(run, null, query.CycleNumber, cancellation);
        var ending = run.Ended is null ? SoakWords.EndOf(run.Sessions[^1]) : run.Sessions[^1].Words ?? "";
        var page = PageOf(run, drawn?.Cycle);
        var replace = string.Join("; ", findings.Patterns.Select(pattern => pattern.Explanation?.Spares).OfType<Core.Diagnosing.Spares>().Select(SpareWords.Now).Where(parts => parts.Length > 0).Distinct());
        return new(
            run, findings.AnyFailing ? BadgeKind.Bad : findings.Incomplete ? BadgeKind.Open : BadgeKind.Good, SoakWords.Verdict(findings), replace.Length > 0 ? replace : null,
            ReportFragments.Explanation(findings, ending == run.Verdict ? "" : ending), drawn is null ? "No captures are kept." : $"Waveforms and findings are those of cycle {SoakWords.Number(drawn.Cycle!.Value)}, {RunWords.Of(kept.First(entry => entry.Cycle == drawn.Cycle).Reason)}.",
            [.. findings.Tally.Channels.Select(channel => OfChannel(findings, channel, drawn?.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == channel.Channel), drawn, query, page))])
        {
            Kind = "Soak",
            Facts = Facts(run, SoakWords.Mode(findings), $"{Words.Adapter(findings.Adapter)}; resolution {findings.Adapter.Resolution}", null),
            Kept = [.. kept],
            Cycle = drawn?.Cycle,
            Sections = Sections(("notes", ReportFragments.Notes(BoardRecord.Of(run))), ("sessions", ReportFragments.Sessions(run))),
            Notes = ReportFragments.Reading() + ReportFragments.Cautions(findings.Board, run.Heading.Mode, findings.Adapter),
        };
    }

    private static ChannelView OfChannel(SoakFindings findings, ChannelTally channel, ChannelResult? result, CapturedRun? drawn, StretchQuery query, string page) => new(
        channel.Channel, channel.Failures > 0, ReportFragments.Badge(channel), ReportFragments.Sentence(channel) + (result is null ? "" : ReportFragments.InCycle(drawn!.Cycle!.Value, result)), PlotOf(drawn, channel.Channel, query, page, "", isHalf: false),
        result is null ? "" : ReportFragments.Findings(result), ReportFragments.Figures(findings, channel.Channel), findings.Tally.Cycles > 1 ? NightOf(findings.Run.Id, channel.Channel) : null, result is null ? [] : CapturesOf(drawn!, result));

    private static RunView OfTrial(StoredRun run, TrialResult trial) => new(
        run, run.FailedCycles > 0 ? BadgeKind.Bad : trial.Batch.Parts.All(part => part.Verdict == Core.Trials.TrialVerdict.Conforms) && !trial.Batch.Parts.IsEmpty ? BadgeKind.Good : BadgeKind.Open,
        TrialWords.Verdict(trial), null, ReportFragments.Explanation(trial), "", [])
    {
        Kind = "Parts on trial",
        Facts = Facts(run, null, Words.Adapter(trial.Adapter), null),
        Sections = Sections(("notes", ReportFragments.Notes(BoardRecord.Of(run))), ("parts", ReportFragments.Parts(trial))),
        Notes = ReportFragments.Reading(trial),
    };

    /// <summary>Null where nothing was captured.</summary>
    private static PlotView? PlotOf(CapturedRun? drawn, string channel, StretchQuery query, string page, string side, bool isHalf)
    {
        if (drawn?.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == channel) is not { Capture: { } capture } result)
            return null;
        var whole = drawn.Picture(result);
        var (from, to) = query.StretchOf(channel);
        // Of two runs one may be shorter.
        var until = isHalf && to is { } wanted ? Duration.Min(wanted, capture.End.SinceStart) : to;
        var begin = isHalf && from is { } written && written >= capture.End.SinceStart ? null : from;
        var picture = begin is null && until is null ? whole : drawn.Picture(result, null, begin, until);
        return new(
            channel, side.Length == 0 ? channel : $"{channel}, {side}", picture, whole,
            new(begin ?? Duration.Zero, until ?? capture.End.SinceStart, capture.End.SinceStart, Duration.Min(capture.Resolution * LeastInResolutions, capture.End.SinceStart)),
            $"/api/runs/{drawn.Run.Heading.Id}/channels/{Uri.EscapeDataString(channel)}/waveform.png", CycleQuery(drawn.Cycle), page, isHalf ? channel : "")
        {
            IsHalf = isHalf,
        };
    }

    private static IReadOnlyList<(string Form, string Address)> CapturesOf(CapturedRun drawn, ChannelResult channel) => channel.Capture is null
        ? []
        : [.. Enum.GetValues<CaptureForm>().Select(form => (form switch { CaptureForm.Vcd => "VCD", CaptureForm.Csv => "CSV", _ => form.ToString() },
            $"/api/runs/{drawn.Run.Heading.Id}/captures/{Uri.EscapeDataString(channel.Channel.Name)}.{KebabWord.Of(form)}{(drawn.Cycle is null ? "" : $"?{CycleQuery(drawn.Cycle)}")}"))];

    private static string NightOf(StoredRun run, string channel) => NightOf(run.Heading.Id, channel);

    private static string NightOf(string run, string channel) => $"/api/runs/{run}/channels/{Uri.EscapeDataString(channel)}/night.png";

    private static string PageOf(StoredRun run, long? cycle) => $"/runs/{run.Heading.Id}{(cycle is null ? "" : $"?{CycleQuery(cycle)}")}";

    private static string CycleQuery(long? cycle) => cycle is { } number ? string.Create(CultureInfo.InvariantCulture, $"cycle={number}") : "";

    private static ImmutableArray<(string Id, string Html)> Sections(params ReadOnlySpan<(string Id, string Html)> sections)
    {
        var told = ImmutableArray.CreateBuilder<(string, string)>();
        foreach (var section in sections)
        {
            if (section.Html.Length > 0)
                told.Add(section);
        }
        return told.ToImmutable();
    }

    /// <param name="mode">Null where nothing was exercised.</param>
    /// <param name="link">What is to be said of the adapter's link; null for nothing.</param>
    private static ImmutableArray<(string Term, string Value)> Facts(StoredRun run, string? mode, string adapter, string? link)
    {
        const string at = "yyyy-MM-dd HH:mm:ss zzz";
        var facts = ImmutableArray.CreateBuilder<(string, string)>();
        facts.Add(("Run", run.Heading.Id));
        if (run.Serial is { } serial)
            facts.Add(("Serial number", serial));
        facts.Add(("Begun", run.Heading.Started.ToString(at, CultureInfo.InvariantCulture)));
        facts.Add(("Ended", run.Ended?.ToString(at, CultureInfo.InvariantCulture) ?? RunWords.State(run)));
        facts.Add(("What", RunWords.What(run)));
        if (mode is not null)
            facts.Add(("Mode", mode));
        facts.Add(("Profile", run.Heading.Profile.Path));
        facts.Add(("Adapter", adapter));
        if (link is not null)
            facts.Add(("Link", link));
        facts.Add(("Program", $"testrig {run.Heading.Program}"));
        return facts.ToImmutable();
    }

    /// <summary>Of the same board, by its serial number where that is on record.</summary>
    private static async Task<ImmutableArray<StoredRun>> OthersAsync(StoredRun run, RunReading reading, CancellationToken cancellation)
    {
        if (run.Heading.Kind == RunKind.Trial)
            return [];
        var found = await reading.Store.ListAsync(new(run.Heading.Board, Serial: run.Serial, Most: OthersOffered + 1), cancellation);
        return [.. found.Where(other => other.Heading.Id != run.Heading.Id && other.Heading.Kind != RunKind.Trial && other.Cycles > 0).Take(OthersOffered)];
    }

    private static RazorComponentResult<TPage> Page<TPage>(Dictionary<string, object?> parameters)
        where TPage : IComponent => new(parameters) { PreventStreamingRendering = true };
}
