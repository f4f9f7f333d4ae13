using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Bench.Injecting;

/// <summary>The words of an injection.</summary>
public static class InjectionWords
{
    /// <summary>What is wired for it, from the adapter to the net.</summary>
    public static string Wiring(Injection injection, string pin) =>
        $"adapter pin {pin} through {Line.UsualSeries} to the gate of a logic-level N-MOSFET (or {new Core.Quantities.Ohms(4_700)} to the base of an NPN transistor), {new Core.Quantities.Ohms(10_000)} from there to its source (emitter); "
        + $"its source (emitter) to {Ground(injection)}; its drain (collector) through {injection.Series} to {injection.Net}. It stands {injection.Supply.Maximum} and more, and carries {injection.Current}, or {injection.CurrentAtShort} should {injection.Net} be shorted to {injection.Supply.Name}.";

    private static string Ground(Injection injection) => injection.Ground is { } ground
        ? $"ground {ground.Name}, that of the net and no other, and the adapter's ground to the same: that bridges an isolation, which the profile permits because {ground.BridgedBecause!.TrimEnd('.')}"
        : "the board's ground, which is the adapter's";

    /// <summary>What happens to the lead of a pin that has one in the profile; null where the pin is free.</summary>
    public static string? LeadOff(Board board, string pin) => board.Lines.FirstOrDefault(line => line.AdapterPin == pin) is { } line
        ? $"Adapter pin {pin} is that of line '{line.Name}': take its lead off the board, it goes to the transistor."
        : null;

    /// <summary>The one line that ends it.</summary>
    public static string Verdict(InjectionResult result)
    {
        var (net, channel) = (result.Injection.Net, result.Injection.Channel.Name);
        return Words.Simulated(result.Adapter) + result.Outcome switch
        {
            InjectionOutcome.BehindWorks =>
                $"everything behind {net} works ({string.Join(", ", result.Injection.Behind.Select(stage => stage.Part.Name))}). When {channel} does not work from its line, the fault is before it: {string.Join(", ", result.InFront)}.",
            InjectionOutcome.FaultBehind when result.Judged.Condition == Condition.LeadOpen => $"the command passes when {net} is pulled low; one lead behind it does not tell.",
            InjectionOutcome.FaultBehind => $"also {Words.Of(result.Judged.Condition)} when driven at {net}: the fault is at it or behind it.",
            _ => $"undecided: {result.Judged.Summary}",
        };
    }
}
