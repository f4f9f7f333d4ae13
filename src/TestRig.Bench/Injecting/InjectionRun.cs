using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Bench.Injecting;

/// <summary>
/// Drives a channel from one of its nets on, through a transistor that pulls the net low: a sweep of that channel, prepared, limited and watched as any sweep, within the limits of the channel's own line.
/// </summary>
/// <param name="adapterFor">The adapter, given the board with the leads at it. A real one is the same whatever the board.</param>
public sealed class InjectionRun(Board board, Injection injection, string? pin, Func<Board, IAdapter> adapterFor, SweepOptions options, TimeProvider time)
{
    private readonly SweepOptions _options = options.On(board) with { Together = false, Repeats = 1 };

    /// <param name="begin">Told which pin drives the transistor before anything is driven.</param>
    /// <exception cref="ProfileMismatchException">Profile and adapter, or pin and adapter, do not fit; nothing was driven.</exception>
    public async Task<InjectionResult> RunAsync(Action<AdapterIdentity, string> begin, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var used = InjectionPin.On(board, injection.Channel, pin, adapterFor(board));
        var injected = InjectedBoard.Of(board, injection, used, _options.Mode);
        var adapter = adapterFor(injected.Bench);
        begin(adapter.Identity, used);
        var result = await new Sweep(injected.Driven, adapter, _options, time, Serilog.Core.Logger.None).MeasureAsync(progress, cancellation);
        var judged = result.Channels.First(channel => channel.Channel.Name == injected.Channel.Name);
        return new(board, injection, _options.Mode, adapter.Identity, used, result.Checks, judged, judged.IsFaulty ? Explain(injected, result, adapter) : Diagnosis.None, result.Ending);
    }

    private Diagnosis Explain(InjectedBoard injected, SweepResult result, IAdapter adapter)
    {
        var twin = new BoardTwin(injected.Bench, _options.Mode, AdapterFigures.Like(adapter.Identity), adapter.Pins, injected.Driven);
        return Diagnoser.Diagnose(injected.Bench, result.Channels, twin.OutcomesOf(result.Seen), twin, SearchLimits.OfOneChannel);
    }
}
