using System.Globalization;
using System.Text;
using TestRig.Bench.Exercising;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>A sweep as another instrument would have recorded it, all its exercises in one dump: the channels are judged as the sweep judged them, though nobody says when what was commanded.</summary>
public class RecordedSweepTests
{
    [Theory]
    [InlineData("dome-drive", false)]
    [InlineData("dome-drive", false, "OK3=dead")]
    [InlineData("dome-drive", false, "OK2=slow:3x")]
    [InlineData("dome-drive", false, "U3:9=inverted")]
    [InlineData("dome-drive", false, "U3:18=stuck-low")]
    [InlineData("dome-drive", false, "lead:U3.18+U3.16=swapped")]
    [InlineData("dome-drive", true)]
    [InlineData("dome-drive", true, "home-switch=bouncing")]
    [InlineData("dome-drive", true, "Q4=dead")]
    [InlineData("tide-gauge", false)]
    [InlineData("tide-gauge", false, "K4=bouncing")]
    [InlineData("tide-gauge", false, "U1=no-supply")]
    [InlineData("carillon", false)]
    [InlineData("carillon", false, "Q2=dead")]
    public async Task Its_recording_is_judged_as_it_was(string profile, bool motion, params string[] faults)
    {
        var board = DemoBoards.Load(profile);
        var mode = motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly;
        var sweep = await DemoBoards.MeasureAsync(board, 1, new SweepOptions(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true), faults);
        var widest = sweep.Channels.SelectMany(channel => channel.Capture!.Signals).SelectMany(signal => signal.Changes).Max(change => change.Width);
        var recording = LampRecording.Judge("sweep.vcd", Encoding.ASCII.GetBytes(Recorded(sweep)), board, new(mode, widest, 0.005)).Sweep;
        Assert.Equal(sweep.Channels.Select(Told), recording.Channels.Select(Told));
        Assert.Equal(recording.AnyFaulty, !recording.Diagnosis.Faults.IsEmpty);
    }

    private static (string, Condition) Told(ChannelResult channel) => (channel.Channel.Name, channel.Condition);

    /// <summary>One exercise a second; what was not looked at between is as it was.</summary>
    private static string Recorded(SweepResult sweep)
    {
        var names = sweep.Channels.SelectMany(channel => channel.Capture!.Signals).Select(signal => signal.Name).Distinct().ToList();
        var text = new StringBuilder("$timescale 1 ps $end\n");
        for (var i = 0; i < names.Count; i++)
            text.Append(CultureInfo.InvariantCulture, $"$var wire 1 n{i} \\{names[i]} $end\n");
        text.Append("$enddefinitions $end\n");
        var start = Instant.Start;
        foreach (var capture in sweep.Channels.Select(channel => channel.Capture!))
        {
            var changes = capture.Signals.SelectMany(signal => signal.Changes.Select(change => (change.NotAfter, signal.Name, change.Level)).Prepend((Instant.Start, signal.Name, signal.Initial)));
            foreach (var (at, name, level) in changes.OrderBy(change => change.Item1))
                text.Append(CultureInfo.InvariantCulture, $"#{(start + at.SinceStart).Picoseconds}\n{(level == Level.High ? 1 : 0)}n{names.IndexOf(name)}\n");
            start += capture.End.SinceStart + Duration.FromMilliseconds(1_000);
        }
        return text.Append(CultureInfo.InvariantCulture, $"#{start.Picoseconds}\n").ToString();
    }
}
