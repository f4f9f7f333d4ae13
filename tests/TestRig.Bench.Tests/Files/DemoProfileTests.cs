using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Files;

/// <summary>The invented demonstration board, as profiles/dome-drive.yaml describes it.</summary>
public sealed class DemoProfileTests
{
    private static readonly Lazy<Board> Loaded = new(() =>
    {
        var result = ProfileLoader.Load(Repository.DemoProfile, Repository.PartsFolder);
        return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
    });

    private static Board Board => Loaded.Value;

    [Fact]
    public void It_loads_without_an_error() =>
        Assert.Empty(ProfileLoader.Load(Repository.DemoProfile, Repository.PartsFolder).Errors);

    [Fact]
    public void Three_axes_have_two_opposing_channels_each_that_are_kept_apart()
    {
        Assert.Equal(["rotate-left", "rotate-right", "shutter-open", "shutter-close", "flap-raise", "flap-lower"], Board.Channels.Select(channel => channel.Name));
        Assert.All(Board.Channels, channel =>
        {
            var undo = Assert.Single(Board.Channels, other => other.Name == channel.UndoneBy);
            Assert.Equal(channel.Name, undo.UndoneBy);
            Assert.Contains(Board.KeptApart, pair => (pair.First == channel.Line && pair.Second == undo.Line) || (pair.Second == channel.Line && pair.First == undo.Line));
        });
    }

    [Fact]
    public void Each_limit_ends_its_own_line_and_the_emergency_stop_ends_all()
    {
        Assert.Equal(
            [
                "limit-left: rotate-left", "limit-right: rotate-right", "shutter-open-limit: shutter-open", "shutter-closed-limit: shutter-close",
                "flap-raised-limit: flap-raise", "flap-lowered-limit: flap-lower",
                "emergency-stop: rotate-left rotate-right shutter-open shutter-close flap-raise flap-lower",
            ],
            Board.Stops.Select(stop => $"{stop.Point.Name}: {string.Join(' ', stop.Lines.Select(line => line.Name))}"));
        Assert.All(Board.Stops, stop => Assert.Equal(Level.Low, stop.StopsAt));
    }

    [Fact]
    public void Every_stage_has_a_lead_and_the_command_arrives_with_the_polarity_of_the_circuit()
    {
        Assert.All(Board.Channels, channel =>
        {
            Assert.All(channel.Stages, stage => Assert.NotNull(stage.Output?.AdapterPin));
            Assert.Equal(Level.Low, channel.Line.Active);
            // Command low: first buffer high, second low, LED lit and collector low, PNP driver on and its collector high.
            Assert.Equal(
                [Level.High, Level.Low, Level.Low, Level.High],
                Enumerable.Range(0, 4).Select(i => channel.LevelAfter(i, channel.Line.Active)));
        });
    }

    [Fact]
    public void No_adapter_pin_gets_more_than_five_volts_and_five_percent() =>
        Assert.All(Board.TestPoints, point => Assert.InRange(point.HighestAtAdapter!.Value.Value, 0, 5.25));

    /// <summary>The emulated board: on 5 µs, off 100 µs; a slow part takes three times as long. The adapter looks every 1.3 µs.</summary>
    [Fact]
    public void A_healthy_isolator_is_clearly_inside_its_windows_and_a_three_times_slower_one_clearly_outside()
    {
        var resolution = Duration.FromNanoseconds(1300);
        var on = Duration.FromMicroseconds(5);
        var off = Duration.FromMicroseconds(100);
        Assert.All(Board.Channels, channel =>
        {
            var isolator = channel.Stages[2];
            Assert.True(isolator.Fall.Earliest + resolution < on && on < isolator.Fall.Latest - resolution, isolator.Fall.ToString());
            Assert.True(isolator.Rise.Earliest + resolution < off && off < isolator.Rise.Latest - resolution, isolator.Rise.ToString());
            // Switching on, a permitted part with the smallest transfer ratio is six times slower than the emulated one: only its switching off tells a slow one.
            Assert.True(off * 3 > isolator.Rise.Latest + resolution, isolator.Rise.ToString());
        });
    }

    [Fact]
    public void Feedback_is_ten_eight_and_twelve_pulses_and_two_either_way()
    {
        Assert.Equal(
            [("dome-encoder", 8, 12), ("dome-encoder", 8, 12), ("shutter-encoder", 6, 10), ("shutter-encoder", 6, 10), ("flap-encoder", 10, 14), ("flap-encoder", 10, 14)],
            Board.Channels.Select(channel => channel.Feedback.OfType<PulseFeedback>().Single()).Select(pulses => (pulses.Point.Name, pulses.PulsesMinimum, pulses.PulsesMaximum)));
        Assert.Equal(new SwitchFeedback(Board.TestPoints.Single(point => point.Name == "home-switch"), 10, Duration.FromMilliseconds(5)), Board.Channels[0].Feedback[1]);
    }
}
