using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>The direct-current side of a stage: what its output does to its net in each state, and what its input asks of the net in front.</summary>
/// <param name="WhenLow">While its output is low; null when it then drives nothing (a high-side driver).</param>
/// <param name="WhenHigh">While its output is high; null when it then drives nothing (an open collector).</param>
/// <param name="OutputPull">Its load or pull-up; null where there is none, or the profile does not tell.</param>
/// <param name="Input">The logic input in front; null where it is none, or its data do not tell.</param>
/// <param name="InputPull">What the input itself does to its net: the LED of an isolator with its resistor, the coil of a relay.</param>
public sealed record StageCircuit(OutputDrive? WhenLow, OutputDrive? WhenHigh, PullResistor? OutputPull, InputLoad? Input, PullResistor? InputPull)
{
    public OutputDrive? When(Level level) => level == Level.Low ? WhenLow : WhenHigh;

    /// <summary>
    /// The voltage at the output, with its own pull and nothing else on the net. The ends are the worst cases of drive, supply and resistor (± 5 %). Null when
    /// nothing drives the net, as far as the data tell.
    /// </summary>
    public Bounds<Volts>? OutputAt(Level level)
    {
        if (When(level) is not { } drive)
            return OutputPull is { } alone && alone.Supply is null == (level == Level.Low) ? alone.Pulls : null;
        if (OutputPull is not { } pull)
            return drive.Volts;
        var (pulls, ohms) = (pull.Pulls, pull.Range);
        // The stronger pull is the smaller resistor; a drive that is limited gives in to it by what it cannot take.
        var strongest = ohms.Minimum.Value;
        var limit = drive.Limit;
        return level == Level.Low
            ? new(
                At(drive.Volts.Minimum, drive.Source, pulls.Minimum, ohms.Maximum.Value, limit?.Maximum),
                At(drive.Volts.Typical, drive.Source, pulls.Typical, ohms.Typical.Value, limit?.Typical),
                At(drive.Volts.Maximum, drive.Source, pulls.Maximum, strongest, limit?.Minimum))
            : new(
                At(drive.Volts.Minimum, drive.Source, pulls.Minimum, strongest, limit?.Minimum),
                At(drive.Volts.Typical, drive.Source, pulls.Typical, ohms.Typical.Value, limit?.Typical),
                At(drive.Volts.Maximum, drive.Source, pulls.Maximum, ohms.Maximum.Value, limit?.Maximum));
    }

    private static Volts At(Volts drive, Ohms source, Volts pulledTo, double pull, Amperes? limit)
    {
        var between = pulledTo.Value - drive.Value;
        var current = between / (pull + source.Value);
        var taken = limit is { } most ? Math.Clamp(current, -most.Value, most.Value) : current;
        return new(taken == current ? drive.Value + (current * source.Value) : pulledTo.Value - (taken * pull));
    }
}
