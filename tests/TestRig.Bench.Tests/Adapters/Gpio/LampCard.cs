using System.Device.Gpio;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Gpio;
using TestRig.Bench.Exercising;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>An invented card of two lamps: eight buffers with the pins of a 74LS244 (2 to 18, 4 to 16) and two drivers, from 3.3 V, on the pins of a computer.</summary>
internal sealed class LampCard
{
    public const int Line1 = 2, Line2 = 3, Buffer1 = 8, Buffer2 = 9, Driver1 = 10, Driver2 = 11, Stop = 12;

    /// <summary>Of the buffer and the driver: any within their data.</summary>
    private const long BufferDelay = 12_000, DriverDelay = 2 * VirtualClock.Microsecond;

    /// <param name="moves">The lines move something, and a stop input ends them.</param>
    public LampCard(bool moves = false, bool hasPulls = true, bool hasPullDown = true)
    {
        Board = Profile(moves);
        Pins = new(Clock) { HasPulls = hasPulls, HasPullDown = hasPullDown };
        Pins.Pulls[Line1] = Pins.Pulls[Line2] = false;
        Pins.Pulls[Stop] = true;
        Pins.Card[Buffer1] = (at, line) => line(Line1, at - BufferDelay);
        Pins.Card[Buffer2] = (at, line) => line(Line2, at - BufferDelay);
        Pins.Card[Driver1] = (at, line) => !line(Line1, at - BufferDelay - DriverDelay);
        Pins.Card[Driver2] = (at, line) => !line(Line2, at - BufferDelay - DriverDelay);
    }

    public VirtualClock Clock { get; } = new();

    public FakePins Pins { get; }

    public Board Board { get; }

    /// <summary>Measured on an idle computer: what happens afterwards is worse.</summary>
    public GpioAdapter Open() => GpioAdapter.Open(new ComputerBoard(new GpioController(Pins)), AdapterPins.Of(Board), Clock);

    public async Task<SweepResult> SweepAsync(
        ExerciseMode mode = ExerciseMode.LogicOnly, bool noStop = false, Action<GpioAdapter>? opened = null, CancellationToken cancellation = default)
    {
        await using var adapter = Open();
        opened?.Invoke(adapter);
        return await new Sweep(Board, adapter, new(mode, MotorOffConfirmed: true, noStop), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), cancellation);
    }

    /// <summary>The limits as the profile has them.</summary>
    public AdapterLimits Limits => BoardLimits.Of(Board, TestRig.Core.Quantities.Duration.FromMilliseconds(500));

    private static Board Profile(bool moves)
    {
        return WrittenBoard.Of($$"""
            format: testrig-profile/1
            board: { name: Lamp card (invented) }
            supplies:
              logic: { volts: 3.3 V ± 5 % }
              lamps: { volts: 3.3 V ± 5 %{{(moves ? ", motion: true" : "")}} }
            parts:
              U1: { type: 74LS244, supply: logic }
              Q1: { type: BC337, supply: lamps }
              Q2: { type: BC337, supply: lamps }
            lines:
              lamp-1: { adapter: GPIO{{Line1}}, idle: low, pull-down: 1 kohm, motion: {{(moves ? "true" : "false")}}, longest-on: 500 ms, rest: 50 ms }
              lamp-2: { adapter: GPIO{{Line2}}, idle: low, pull-down: 1 kohm, motion: {{(moves ? "true" : "false")}}, longest-on: 500 ms, rest: 50 ms }
            keep-apart:
              - [lamp-1, lamp-2]
            test-points:
              P1.1: { adapter: GPIO{{Line1}} }
              P1.2: { adapter: GPIO{{Line2}} }
              U1.18: { adapter: GPIO{{Buffer1}} }
              U1.16: { adapter: GPIO{{Buffer2}} }
              Q1.C: { adapter: GPIO{{Driver1}} }
              Q2.C: { adapter: GPIO{{Driver2}} }
            {{(moves ? $"  ESTOP: {{ adapter: GPIO{Stop}, supply: logic }}" : "")}}
            channels:
              lamp-1: { drive: lamp-1 at P1.1, path: [ U1 2>18, Q1 ]{{(moves ? ", exercise: { motion-on: 100 ms }" : "")}} }
              lamp-2: { drive: lamp-2 at P1.2, path: [ U1 4>16, Q2 ]{{(moves ? ", exercise: { motion-on: 100 ms }" : "")}} }
            {{(moves ? "stops:\n  ESTOP: { goes: low, ends: all }" : "")}}
            """);
    }
}
