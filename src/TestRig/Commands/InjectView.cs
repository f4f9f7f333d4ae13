using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Injecting;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;
using TestRig.Core.Diagnosing;

namespace TestRig.Commands;

/// <summary>An injection on the screen: what to wire, what was seen, and what it proves.</summary>
internal sealed class InjectView(TextScreen screen, SweepView view, Board board, Injection injection)
{
    public IProgress<SweepEvent> Progress => view.PlainProgress();

    public void Cautions(ExerciseMode mode) => view.Cautions(board, mode);

    /// <param name="pin">The adapter pin of the transistor.</param>
    /// <param name="back">The channel that moves the axis back; null where nothing moves, or none does.</param>
    public void Begin(AdapterIdentity adapter, string pin, string? back)
    {
        view.Start(board, adapter);
        screen.Say("Inject   ", $"{injection.Net} of channel {injection.Channel.Name} is pulled low by a transistor, for as long as line '{injection.Channel.Line.Name}' may be on. No line of the board is driven meanwhile{(back is null ? "" : $"; then {back}, by its own line, moves the axis back")}.");
        screen.Say("  wire   ", InjectionWords.Wiring(injection, pin));
        if (InjectionWords.LeadOff(board, pin) is { } off)
            screen.Say("CAUTION  ", off);
        screen.Say();
    }

    public void Finish(InjectionResult result)
    {
        screen.Say();
        if (result.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", result.Ending.Words);
        view.SayFaults(result.Diagnosis, Spares.None);
        screen.Say("Verdict  ", InjectionWords.Verdict(result));
    }
}
