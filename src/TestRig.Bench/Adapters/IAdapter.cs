using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Adapters;

/// <summary>
/// Something that drives lines and samples inputs. Pins go by the adapter's own names. Every method may throw <see cref="AdapterException"/>; after
/// a throw the adapter is at rest by its own rules (lines idle) or gone.
/// </summary>
public interface IAdapter : IAsyncDisposable
{
    AdapterIdentity Identity { get; }

    ImmutableArray<AdapterPin> Pins { get; }

    /// <summary>How the link to the device fared so far; null where there is none that could be disturbed.</summary>
    LinkHealth? Link => null;

    /// <summary>Hands the limits to the device and arms it: lines become outputs at their idle level. Nothing moves.</summary>
    Task ArmAsync(AdapterLimits limits, CancellationToken cancellation);

    /// <summary>Lines idle, limits forgotten, lines released. Safe to call in any state, more than once.</summary>
    Task ReleaseAsync(CancellationToken cancellation);

    /// <summary>
    /// Sets the pins that choose a multiplexer's input; they stay so through runs and readings until set again or released. The adapter must be armed with
    /// them (<see cref="AdapterLimits.Selects"/>); no line is touched.
    /// </summary>
    /// <param name="high">Names of the select pins that are high; all the others are low.</param>
    Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation);

    /// <summary>Levels of all sensed pins, now, by pin name. A line that cannot be read back has the level that it was told.</summary>
    Task<ImmutableDictionary<string, Core.Quantities.Level>> ReadInputsAsync(CancellationToken cancellation);

    /// <summary>Voltages at analog pins (at the pin, no divider taken into account).</summary>
    /// <param name="pins">Names of analog pins.</param>
    /// <param name="samples">Conversions for each, 1..64.</param>
    Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation);

    /// <summary>
    /// Lead check; the adapter must be armed. Pins whose lead this adapter cannot check are left out of the answer: nothing is known of them.
    /// </summary>
    Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation);

    /// <summary>
    /// Runs one program on the device, once, and returns what was captured, signals by pin name. A lost reply never makes a program run
    /// twice. Cancelling ends the program early, lines idle, and the capture then says so.
    /// </summary>
    Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation);
}
