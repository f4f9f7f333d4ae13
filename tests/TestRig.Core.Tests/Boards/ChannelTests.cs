using System.Collections.Immutable;
using FsCheck.Xunit;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class ChannelTests
{
    private static Stage StageOf(byte kind) => (kind % 6) switch
    {
        0 => SomeParts.BufferStage(inverting: true),
        1 => SomeParts.BufferStage(inverting: false),
        2 => StageModel.Of(SomeParts.IsolatorPart(), null),
        3 => StageModel.Of(SomeParts.IsolatorPart(takenAtCollector: false), null),
        4 => SomeParts.DriverStage(highSide: true),
        _ => SomeParts.DriverStage(highSide: false),
    };

    /// <summary>Which of the kinds above invert: inverting buffer, emitter output, both drivers.</summary>
    private static bool Inverts(byte kind) => (kind % 6) is 0 or 3 or 4 or 5;

    internal static Channel Through(ImmutableArray<Stage> stages, Level idle = Level.High)
    {
        var line = new Line("go", "D22", idle, Motion: true, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), "4.7 kohm pull-up to logic");
        return new("go", line, new("J1.2", "D22", null, null), stages, [], Duration.FromMilliseconds(400), null);
    }

    [Property]
    public void A_chain_inverts_when_an_odd_number_of_its_stages_does(byte[] kinds, bool high)
    {
        var channel = Through([.. kinds.Select(StageOf)]);
        var line = high ? Level.High : Level.Low;
        for (var i = 0; i < kinds.Length; i++)
        {
            var inversions = kinds[..(i + 1)].Count(Inverts);
            Assert.Equal(inversions % 2 == 0 ? line : line.Inverted(), channel.LevelAfter(i, line));
            Assert.NotEqual(channel.LevelAfter(i, line), channel.LevelAfter(i, line.Inverted()));
        }
    }

    [Property]
    public void An_explanation_agrees_with_the_chain_and_adds_its_windows_up(byte[] kinds, bool idleHigh)
    {
        var channel = Through([.. kinds.Select(StageOf)], idleHigh ? Level.High : Level.Low);
        var board = new Board("board", [], [], [channel.Line], [channel.DrivenAt], [], [], [channel], []);
        var explanation = Assert.Single(ProfileExplanation.Of(board).Channels);
        Assert.Equal(kinds.Length + 1, explanation.Points.Length);
        var latest = Duration.Zero;
        for (var i = 0; i < kinds.Length; i++)
        {
            var point = explanation.Points[i + 1];
            Assert.Equal(channel.LevelAfter(i, channel.Line.Active), point.Active);
            Assert.Equal(channel.LevelAfter(i, channel.Line.Idle), point.Idle);
            Assert.Equal(kinds[..(i + 1)].Count(Inverts) % 2 == 1, point.Inverted);
            Assert.Equal(channel.Stages[i].DelayTo(point.Active), point.ToActive!.Window);
            Assert.Equal(channel.Stages[i].DelayTo(point.Idle), point.ToIdle!.Window);
            latest += point.ToActive.Window.Latest;
            Assert.Equal(latest, point.ToActive.LatestFromDrive);
        }
    }
}
