using System.Collections.Immutable;
using TestRig.Core.Link;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>Says in words what a device refused, and what to do about it.</summary>
/// <param name="steps">Of the program that was to run; empty for other requests.</param>
internal sealed class RefusalText(PinMap pins, DeviceScales scales, ImmutableArray<ProgramStep> steps)
{
    /// <summary>The exception for a reply that is not OK.</summary>
    /// <param name="meant">What the request was to do, e.g. "limits of line D22".</param>
    public AdapterException Explain(string meant, LinkReply reply)
    {
        var fault = reply.Result == ReplyResult.StopActive ? AdapterFault.StopActive : AdapterFault.Refused;
        return new(fault, $"The adapter refused {meant}: {Words(reply)}");
    }

    private string Words(LinkReply reply)
    {
        var body = reply.Body.AsSpan();
        return reply.Result switch
        {
            ReplyResult.UnknownRequest => "its firmware does not know this request. Load the firmware that belongs to this version of the program.",
            ReplyResult.BadLength => "it finds the request too short or too long. Load the firmware that belongs to this version of the program.",
            ReplyResult.BadValue => BadValue.Parse(body).Value is { } bad
                ? $"the value at byte {bad.Offset} of the request is out of the range that it allows. Correct the limit or the pin in the profile."
                : "a value is out of the range that it allows. Correct the limit or the pin in the profile.",
            ReplyResult.NotArmed or ReplyResult.WrongNonce =>
                "it is not armed any more, because it heard nothing from this computer for longer than the heartbeat limit. Its lines are idle. "
                + "Start the run again, and see that the computer does not sleep meanwhile.",
            ReplyResult.Armed => "limits cannot be changed while it is armed. Start the run again.",
            ReplyResult.LimitsDiffer => "the limits that it holds are not those that were sent, so the link is disturbed. Check the cable and start the run again.",
            ReplyResult.ProgramRefused => ProgramRefused.Parse(body).Value is { } refused ? Words(refused) : "the program would break a limit.",
            ReplyResult.StopActive => StopActive.Parse(body).Value is { } stop
                ? $"stop input {pins.Name(stop.Pin)} is in its stopping state. Nothing was driven. Release the emergency stop, or move the axis off its limit, or check that input's lead."
                : "a stop input is in its stopping state. Nothing was driven.",
            ReplyResult.Resting => Resting.Parse(body).Value is { } resting
                ? $"line {pins.Name(resting.Line)} must still rest for {scales.Time(resting.Ticks)}, although it was given its time again and again. Report this."
                : "a line must still rest.",
            ReplyResult.NoRoom => "it holds no more lines, stops or steps. Use fewer of them in one exercise.",
            ReplyResult.NoSuchRun => "it holds no capture of that run any more. Start the run again.",
            _ => $"it answered {reply.Result}, which makes no sense here. Load its firmware afresh; if it happens again, report it.",
        };
    }

    private string Words(ProgramRefused refused)
    {
        var place = refused.Step < steps.Length ? $"step {refused.Step + 1} of {steps.Length}, at {scales.Time(steps[refused.Step].At)}" : $"step {refused.Step + 1}";
        var why = refused.Why switch
        {
            ProgramRefusal.OrderOrSpacing =>
                $"the steps are out of order or too close: the first may come after {scales.Time(ProgramStep.EarliestTick)}, and between two lie at least {scales.Time(ProgramStep.SpacingTicks)}",
            ProgramRefusal.ActionOrField => "a field of the step has no meaning for it",
            ProgramRefusal.EndMissingOrNotLast => "the program's end is missing or is not its last step",
            ProgramRefusal.LongestOnTime => "a line would be on for longer than its longest on-time",
            ProgramRefusal.KeptApart => "two lines that are kept apart would be on together",
            ProgramRefusal.Rest => "a line would not get its rest",
            ProgramRefusal.UndeclaredLine => "a line would be driven that has no limits",
            ProgramRefusal.TooLong => "the program is longer than the adapter or half the heartbeat limit allows",
            ProgramRefusal.DigestDiffers => "the program that it holds is not the one that was sent",
            ProgramRefusal.NotEnoughLevelRecords => "more voltages would be read than it has room for",
            ProgramRefusal.MeasureWhileCrossing => "a voltage would be read while the converter's multiplexer serves the stamp of another pin",
            _ => $"for a reason that this program does not know ({(byte)refused.Why})",
        };
        return $"{why} ({place}). Nothing was driven. Correct the limits or the exercise in the profile.";
    }
}
