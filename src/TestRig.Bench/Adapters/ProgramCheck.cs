using System.Collections.Immutable;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Adapters;

/// <summary>
/// What an adapter asks of a program before its first step, where no device of ours does: none of its limits may be broken by any of it.
/// </summary>
internal sealed class ProgramCheck(ProgramRules rules, AdapterLimits limits, ImmutableDictionary<string, AdapterPin> pins)
{
    /// <exception cref="AdapterException">Refused as a whole, with the step and the reason.</exception>
    public void Check(StimulusProgram program)
    {
        if (program.Length > rules.LongestProgram || program.Length + program.Length > limits.Heartbeat)
            throw Refused($"the program of {program.Length} is longer than the adapter ({rules.LongestProgram}) or half the heartbeat limit ({limits.Heartbeat}) allows");
        if (program.Steps.Length + 1 > rules.MostSteps)
            throw Refused($"{program.Steps.Length} steps are more than the {rules.MostSteps - 1} that it takes");
        CheckOrder(program);
        CheckLevels(program);
        foreach (var line in limits.Lines)
            CheckOnTimes(line, program);
        CheckApart(program);
    }

    private void CheckOrder(StimulusProgram program)
    {
        var free = rules.EarliestStep;
        foreach (var step in program.Steps)
        {
            var at = rules.Nearest(step.At);
            if (at < free)
                throw Refused($"the step at {step.At} comes too early: not before {rules.Tick * free}");
            free = at + rules.StepSpacing;
            if (step is MeasureStep measure)
                free = Math.Max(free, at + (rules.SampleTicks * measure.Samples * measure.Pins.Length));
        }
        if (rules.Nearest(program.Length) < free)
            throw Refused($"the program's end at {program.Length} comes too early: not before {rules.Tick * free}");
    }

    private void CheckLevels(StimulusProgram program)
    {
        var measures = program.Steps.OfType<MeasureStep>().ToList();
        if (measures.Find(measure => measure.Samples < 1 || measure.Samples > rules.MostSamples || measure.Pins.IsEmpty) is { } bad)
            throw Refused($"the reading at {bad.At} needs pins and 1 to {rules.MostSamples} samples");
        if (measures.SelectMany(measure => measure.Pins).FirstOrDefault(pin => !pins.TryGetValue(pin, out var known) || !known.Analog) is { } notAnalog)
            throw Refused($"no voltage can be read at pin {notAnalog}");
        if (measures.Sum(measure => measure.Pins.Length) > rules.MostLevels)
            throw Refused($"more than {rules.MostLevels} voltages would be read");
    }

    private void CheckOnTimes(LineLimit line, StimulusProgram program)
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
                if (at - since + rules.StepLateness > line.LongestOn)
                {
                    var late = rules.StepLateness > Duration.Zero ? $", and for {rules.StepLateness} more when this computer is late" : "";
                    throw Refused($"line {line.Pin} would be on for {at - since}{late}, longer than its longest on-time of {line.LongestOn}");
                }
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

    private AdapterException Refused(string why) => new(
        AdapterFault.Refused, $"{rules.Adapter} refused to run the program: {why}. Nothing was driven. Correct the limits or the exercise in the profile.");
}

/// <summary>The figures of an adapter that its programs have to respect.</summary>
/// <param name="Adapter">Who refuses, as a sentence begins: "The simulated adapter".</param>
/// <param name="Tick">Steps are served at multiples of it.</param>
/// <param name="EarliestStep">Ticks from the program's start.</param>
/// <param name="StepSpacing">Ticks from one step to the next, at least.</param>
/// <param name="SampleTicks">One conversion, worst case with everything around it.</param>
/// <param name="MostSteps">The program's end counts as one.</param>
/// <param name="MostLevels">Voltages in one program.</param>
/// <param name="MostSamples">Conversions for one voltage.</param>
internal sealed record ProgramRules(
    string Adapter, Duration Tick, Duration LongestProgram, long EarliestStep, long StepSpacing, long SampleTicks, int MostSteps, int MostLevels, int MostSamples)
{
    /// <summary>How late the end of a line's on-time may be. Zero where the adapter itself times its steps.</summary>
    public Duration StepLateness { get; init; }

    public long Nearest(Duration duration) => (long)Math.Round((decimal)duration.Picoseconds / Tick.Picoseconds);
}
