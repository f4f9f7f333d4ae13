using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>
/// The arithmetic of a line: does its resistor hold it idle against the currents of the inputs at its end while the adapter's pin floats, and can the pin,
/// through the resistor in its lead, overcome that resistor? Worst cases throughout: supplies at the end of their tolerance, resistors on the board
/// ± 5 % (common practice).
/// </summary>
internal sealed class LineLevels(ProfileDocument document, ErrorList errors)
{
    private const double BoardTolerance = 0.05;

    /// <summary>Into or out of a pin that floats (value from memory).</summary>
    private static readonly Amperes PinLeakage = new(1e-6);

    /// <summary>What a pin drives high to when the adapter's supply is 5 % low.</summary>
    private const double DrivenHigh = 4.75;

    /// <param name="inputs">The sections that receive the line. Only logic inputs have levels and currents to check against.</param>
    public void Check(WrittenLine line, IReadOnlyCollection<Stage> inputs)
    {
        if (line.Series is { } series)
            LeadResistors.CheckLine(series, errors);
        var logic = inputs.Where(stage => stage.Circuit.Input is not null).ToArray();
        if (logic.Length == 0)
            return;
        var loads = logic.Select(stage => stage.Circuit.Input!).ToArray();
        var receiver = new Receiver(
            string.Join(" and ", logic.Select(stage => stage.Name)),
            loads.Min(load => load.Limits.LowMaximum.Value),
            loads.Max(load => load.Limits.HighMinimum.Value),
            loads.Sum(load => load.LowCurrentMaximum?.Value ?? 0),
            loads.Sum(load => load.HighCurrentMaximum?.Value ?? 0));
        var lead = (line.Series?.Value ?? Line.UsualSeries).Value + Line.OutputStage.Value;

        // The input's own current through the lead alone lifts a driven low.
        if (line.Series is { } large && receiver.LowCurrent * lead > receiver.LowMaximum)
        {
            errors.Add(large, $"the input current of {receiver.Name}, {new Amperes(receiver.LowCurrent)}, lifts the line to {new Volts(receiver.LowCurrent * lead)} though the adapter drives it low", $"use {Line.UsualSeries}");
            return;
        }
        if (line is { Idle.Value: Level.Low, Hold.PullDown: { } down })
            PullDown(down, receiver, lead);
        else if (line is { Idle.Value: Level.High, Hold.PullUp: { Value: var (resistor, supply) } up })
            PullUp(up, resistor, document.Supplies.FirstOrDefault(known => known.Name.Value == supply.Value)?.Volts?.Value, receiver, lead);
    }

    private sealed record Receiver(string Name, double LowMaximum, double HighMinimum, double LowCurrent, double HighCurrent);

    private void PullDown(Written<Ohms> down, Receiver receiver, double lead)
    {
        var current = receiver.LowCurrent + PinLeakage.Value;
        var level = current * down.Value.Value * (1 + BoardTolerance);
        if (level > receiver.LowMaximum)
        {
            errors.Add(
                down, $"the input current of {receiver.Name}, {new Amperes(receiver.LowCurrent)}, lifts a {down.Value} pull-down to {new Volts(level)}, which is no low level",
                $"use at most {LeadResistors.AtMost(receiver.LowMaximum / current / (1 + BoardTolerance))}");
            return;
        }
        var weakest = down.Value.Value * (1 - BoardTolerance);
        var driven = DrivenHigh * weakest / (weakest + lead);
        if (driven < receiver.HighMinimum)
        {
            errors.Add(
                down, $"through {new Ohms(lead)} (its lead and its output) the adapter drives the line to {new Volts(driven)} only, and {receiver.Name} needs {new Volts(receiver.HighMinimum)}",
                $"use at least {LeadResistors.AtLeast(receiver.HighMinimum * lead / (DrivenHigh - receiver.HighMinimum) / (1 - BoardTolerance))}");
        }
    }

    private void PullUp(Written<(Ohms Resistor, Written<string> Supply)> up, Ohms resistor, (Volts Nominal, double Tolerance)? supply, Receiver receiver, double lead)
    {
        // An unknown supply, or one with a broken voltage, has been reported.
        if (supply is not var (nominal, tolerance))
            return;
        var (lowest, highest) = (nominal.Value * (1 - tolerance), nominal.Value * (1 + tolerance));
        var current = receiver.HighCurrent + PinLeakage.Value;
        var level = lowest - (current * resistor.Value * (1 + BoardTolerance));
        if (level < receiver.HighMinimum)
        {
            errors.Add(
                up, $"the input current of {receiver.Name}, {new Amperes(receiver.HighCurrent)}, and the pin's leakage pull a {resistor} pull-up down to {new Volts(Math.Max(level, 0))}, which is no high level",
                lowest <= receiver.HighMinimum
                    ? $"pull it up to a supply above {new Volts(receiver.HighMinimum)}"
                    : $"use at most {LeadResistors.AtMost((lowest - receiver.HighMinimum) / current / (1 + BoardTolerance))}");
            return;
        }
        // Driven low: the pull-up and the input both push current into the lead.
        var strongest = resistor.Value * (1 - BoardTolerance);
        var driven = strongest == 0 ? highest : ((highest / strongest) + receiver.LowCurrent) / ((1 / strongest) + (1 / lead));
        if (driven > receiver.LowMaximum)
        {
            errors.Add(
                up, $"through {new Ohms(lead)} (its lead and its output) the adapter pulls the line down to {new Volts(driven)} only, and {receiver.Name} takes {new Volts(receiver.LowMaximum)} and less for low",
                $"use at least {LeadResistors.AtLeast(lead * (highest - receiver.LowMaximum) / (receiver.LowMaximum - (receiver.LowCurrent * lead)) / (1 - BoardTolerance))}");
        }
    }
}
