using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// What the check of a lead may do to the machine. The adapter takes its pin low for a moment, then pulls it up: through a direct lead both reach the net. A net that a resistor holds high
/// goes low meanwhile, and one that an output should hold, but does not, goes with it: where the command passes, that is a command. It is short, and still long enough for what
/// latches (a triac conducts until its half cycle ends).
/// </summary>
public static class LeadCheckHazard
{
    /// <summary>The strongest pull-up of an adapter's pin (an ordinary 5 V microcontroller: 20 to 50 kohm, value from memory), and the supply behind it.</summary>
    private const double PullUpOhms = 20_000, PullUpVolts = 5;

    /// <summary>The line that moves something and that a look at this lead might command; null where it commands none.</summary>
    public static Line? Commands(Board board, TestPoint point) => point.Divider is not null ? null : (
        from channel in board.Channels
        where channel.Line.Motion
        from index in Enumerable.Range(0, channel.Stages.Length)
        where channel.Stages[index].OutputName == point.Name && !StaysIdle(channel, index)
        select channel.Line).FirstOrDefault();

    /// <summary>To be discharged changes nothing on a net that is low; it has to be held there against the pull-up.</summary>
    private static bool StaysIdle(Channel channel, int index)
    {
        var stage = channel.Stages[index];
        return channel.LevelAfter(index, channel.Line.Idle) == Level.Low
            && (stage.Circuit.WhenLow is not null || (stage.Circuit.OutputPull is { Supply: null } pull && PulledUpOver(pull.Range.Maximum) <= stage.Levels.LowMaximum));
    }

    private static Volts PulledUpOver(Ohms load) => new(PullUpVolts * load.Value / (load.Value + PullUpOhms));
}
