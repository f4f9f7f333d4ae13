using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Simulation;

/// <summary>What the device asks of a program before its first step: none of its limits may be broken by any of it.</summary>
internal sealed class ProgramCheck(AdapterLimits limits, ImmutableDictionary<string, AdapterPin> pins)
{
    /// <exception cref="AdapterException">Refused as a whole, with the step and the reason.</exception>
    public void Check(StimulusProgram program)
    {
        if (program.Length > AdapterFigures.LongestProgram || program.Length + program.Length > limits.Heartbeat)
            throw Refused($"the program of {program.Length} is longer than the adapter ({AdapterFigures.LongestProgram}) or half the heartbeat limit ({limits.Heartbeat}) allows");
        if (program.Steps.Length + 1 > AdapterFigures.MostSteps)
            throw Refused($"{program.Steps.Length} steps are more than the {AdapterFigures.MostSteps - 1} that it takes");
        CheckOrder(program);
        CheckLevels(program);
        foreach (var line in limits.Lines)
            CheckOnTimes(line, program);
        CheckApart(program);
    }

    private static void CheckOrder(StimulusProgram program)
    {
        var free = AdapterFigures.EarliestStep;
        foreach (var step in program.Steps)
        {
            var at = AdapterFigures.Nearest(step.At);
            if (at < free)
                throw Refused($"the step at {step.At} comes too early: not before {AdapterFigures.Tick * free}");
            free = at + AdapterFigures.StepSpacing;
            if (step is MeasureStep measure)
                free = Math.Max(free, at + (AdapterFigures.Sample * measure.Samples * measure.Pins.Length));
        }
        if (AdapterFigures.Nearest(program.Length) < free)
            throw Refused($"the program's end at {program.Length} comes too early: not before {AdapterFigures.Tick * free}");
    }

    private void CheckLevels(StimulusProgram program)
    {
        var measures = program.Steps.OfType<MeasureStep>().ToList();
        if (measures.Find(measure => measure.Samples is < 1 or > AdapterFigures.MostSamples || measure.Pins.IsEmpty) is { } bad)
            throw Refused($"the reading at {bad.At} needs pins and 1 to {AdapterFigures.MostSamples} samples");
        if (measures.SelectMany(measure => measure.Pins).FirstOrDefault(pin => !pins.TryGetValue(pin, out var known) || !known.Analog) is { } notAnalog)
            throw Refused($"no voltage can be read at pin {notAnalog}");
        if (measures.Sum(measure => measure.Pins.Length) > AdapterFigures.MostLevels)
            throw Refused($"more than {AdapterFigures.MostLevels} voltages would be read");
    }

    private static void CheckOnTimes(LineLimit line, StimulusProgram program)
    {
        Duration? onSince = null, offSince = null;
        foreach (var (at, on) in States(line.Pin, program))
        {
            if (on && onSince is null)
            {
                if (offSince is { } off && at - off < line.Rest)
                    throw Refused($"line {line.Pin} would be on again at {at} without its rest of {line.Rest}");
                onSince = at;
            }
            else if (!on && onSince is { } since)
            {
                if (at - since > line.LongestOn)
                    throw Refused($"line {line.Pin} would be on for {at - since}, longer than its longest on-time of {line.LongestOn}");
                (onSince, offSince) = (null, at);
            }
        }
    }

    private static IEnumerable<(Duration At, bool On)> States(string pin, StimulusProgram program) =>
        program.Steps.OfType<LinesStep>().Select(step => (step.At, step.OnPins.Contains(pin))).Append((program.Length, false));

    private void CheckApart(StimulusProgram program)
    {
        foreach (var step in program.Steps.OfType<LinesStep>())
        {
            if (step.OnPins.FirstOrDefault(pin => limits.Lines.All(line => line.Pin != pin)) is { } undeclared)
                throw Refused($"line {undeclared}, which has no limits, would be on at {step.At}");
            foreach (var line in limits.Lines.Where(line => step.OnPins.Contains(line.Pin)))
            {
                if (line.KeptApart.FirstOrDefault(step.OnPins.Contains) is { } other)
                    throw Refused($"lines {line.Pin} and {other}, which are kept apart, would be on together at {step.At}");
            }
        }
    }

    private static AdapterException Refused(string why) => new(
        AdapterFault.Refused, $"The simulated adapter refused to run the program: {why}. Nothing was driven. Correct the limits or the exercise in the profile.");
}
