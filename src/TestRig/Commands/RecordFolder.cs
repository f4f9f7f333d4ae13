using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>Writes what a run found into its folder: when it ends, or years later.</summary>
/// <param name="keeping">Gets what could not be written; the rest is.</param>
/// <param name="board">What is on record of the board beside this.</param>
internal sealed class RecordFolder(RunFolder folder, PlotFont font, RecordKeeping keeping, BoardRecord board)
{
    private readonly WaveformPlot _plot = new(font);

    /// <summary>What it holds of a sweep, for people.</summary>
    public const string OfSweep = "report.html, run.json, junit.xml, run.log, map.png, waveforms, captures";

    /// <summary>What it holds of a soak, for people.</summary>
    public const string OfSoak = "report.html, soak.json, run.log, waveforms, drift";

    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="inject">The command of the injection that the diagnosis proposes; null where it proposes none.</param>
    /// <returns>The record for other programs.</returns>
    public string Write(SweepResult result, string profile, string? inject)
    {
        // The judgement first: drawing takes a second or two, and may be killed.
        keeping.Keep(() => folder.Write("run.json", RunJson.Write(result, profile, ImmutableDictionary<string, string>.Empty, board)));
        keeping.Keep(() => folder.Write("junit.xml", RunJunit.Write(result, profile)));
        WriteCaptures(result);
        var pictures = WritePictures(result);
        var record = RunJson.Write(result, profile, pictures.ToImmutableDictionary(picture => picture.Key, picture => RunFolder.PlotOf(picture.Key)), board);
        keeping.Keep(() => folder.Write("run.json", record));
        var map = ChannelPicture.Draw(new BoardMapPlot(font), BoardMap.Of(result));
        keeping.Keep(() => folder.Write(RunFolder.Map, map.Png));
        keeping.Keep(() => folder.Write("report.html", RunReport.Write(result, profile, pictures, inject, map, board)));
        return record;
    }

    /// <param name="record">For other programs.</param>
    /// <param name="ending">Why its last session ended; empty where all that was asked for was done.</param>
    public void Write(SoakFindings findings, string record, string ending, ImmutableArray<StoredSession> sessions)
    {
        keeping.Keep(() => folder.Write("soak.json", record));
        keeping.Keep(() => folder.Write("report.html", SoakReport.Write(findings, ending, sessions, WritePictures(findings), WriteNights(findings), board)));
    }

    private void WriteCaptures(SweepResult result)
    {
        var export = new CaptureExport(result, ProgramVersion.Text);
        foreach (var channel in result.Channels.Where(channel => channel.Capture is not null))
        {
            if (!keeping.Keep(() => folder.Write(RunFolder.CaptureOf(channel.Channel.Name, CaptureForm.Vcd), export.ToVcd(channel))))
                break;
        }
    }

    private ImmutableDictionary<string, ChannelPicture> WritePictures(SweepResult result)
    {
        var pictures = ImmutableDictionary.CreateBuilder<string, ChannelPicture>();
        foreach (var channel in result.Channels.Where(channel => channel.Capture is not null))
        {
            var picture = ChannelPicture.Draw(_plot, channel, HeadingOf(result));
            if (!keeping.Keep(() => folder.Write(RunFolder.PlotOf(channel.Channel.Name), picture.Png)))
                break;
            pictures[channel.Channel.Name] = picture;
        }
        return pictures.ToImmutable();
    }

    /// <summary>What each pattern looked like when it was explained; of each channel the first is for the report.</summary>
    private ImmutableDictionary<string, ChannelPicture> WritePictures(SoakFindings findings)
    {
        var first = ImmutableDictionary.CreateBuilder<string, ChannelPicture>();
        foreach (var explanation in findings.Patterns.Select(pattern => pattern.Explanation).OfType<FailureExplanation>().OrderBy(explanation => explanation.Cycle))
        {
            foreach (var channel in explanation.Sweep.Channels.Where(channel => channel is { IsFaulty: true, Capture: not null }))
            {
                var picture = ChannelPicture.Draw(_plot, channel, HeadingOf(explanation.Sweep));
                keeping.Keep(() => folder.Write(RunFolder.PlotOf(RunFolder.InCycle(explanation.Cycle, channel.Channel.Name)), picture.Png));
                first.TryAdd(channel.Channel.Name, picture);
            }
        }
        return first.ToImmutable();
    }

    private ImmutableDictionary<string, ChannelPicture> WriteNights(SoakFindings findings)
    {
        var plot = new DriftPlot(font);
        var nights = ImmutableDictionary.CreateBuilder<string, ChannelPicture>();
        foreach (var picture in DriftPicture.OfAll(findings))
        {
            nights[picture.Channel] = ChannelPicture.Draw(plot, picture);
            keeping.Keep(() => folder.Write(RunFolder.DriftOf(picture.Channel), nights[picture.Channel].Png));
        }
        return nights.ToImmutable();
    }

    private static PictureHeading HeadingOf(SweepResult result) => new(result.Board.Name, result.Started, result.Adapter.IsSimulated);
}
