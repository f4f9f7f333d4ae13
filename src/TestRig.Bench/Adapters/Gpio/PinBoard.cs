using System.Collections.Immutable;
using System.Device.Gpio;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// Pins behind a driver, as the host-timed adapter needs them: set one up, write it, look at many. A driver throws whatever it likes; that is caught where the
/// lines can be taken to idle.
/// </summary>
internal abstract class PinBoard(GpioController controller, string place, string name, string firmware) : IDisposable
{
    private PinValuePair[] _pairs = [];

    public string Place { get; } = place;

    /// <summary>For people.</summary>
    public string Name { get; } = name;

    public string Firmware { get; } = firmware;

    public abstract ImmutableArray<BoardPin> Pins { get; }

    /// <summary>True when a driven pin can be read.</summary>
    public virtual bool ReadsLinesBack => true;

    /// <summary>The highest voltage that may be put on any of its pins.</summary>
    public virtual Volts PinMaximum => PinVoltage.FiveVoltMaximum;

    /// <summary>True when a pin becomes an output at high without having been one at low.</summary>
    public abstract bool ArmsHighCleanly { get; }

    /// <summary>
    /// How many looks back the levels of a look may stem from: 0 when it reads the pins themselves, 1 when what it tells may have been read any time since the look
    /// before began.
    /// </summary>
    public virtual int LooksBehind => 0;

    /// <summary>One conversion with everything around it, worst case; meaningless where no pin reads voltages.</summary>
    public virtual Duration SampleTime => Duration.FromMilliseconds(1);

    protected GpioController Controller { get; } = controller;

    /// <summary>What looks take was measured: from here on lines may be on while a board answers.</summary>
    public virtual void Expect(LookTimes times)
    {
    }

    /// <summary>Makes the pin an input without a pull. Opens it where it is not yet.</summary>
    public void ToInput(BoardPin pin) => SetMode(pin, PinMode.Input);

    public void PullUp(BoardPin pin) => SetMode(pin, PinMode.InputPullUp);

    public void PullDown(BoardPin pin) => SetMode(pin, PinMode.InputPullDown);

    /// <summary>Makes the pin an output at that level.</summary>
    public virtual void ToOutput(BoardPin pin, Level level)
    {
        if (Controller.IsPinOpen(pin.Number))
            Controller.ClosePin(pin.Number);
        Controller.OpenPin(pin.Number, PinMode.Output, ValueOf(level));
        // Not every driver heeds the first level.
        Write(pin, level);
    }

    /// <summary>Returns when the pin is at that level.</summary>
    public virtual void Write(BoardPin pin, Level level) => Controller.Write(pin.Number, ValueOf(level));

    /// <summary>Levels of these pins, in their order.</summary>
    public virtual void Look(ReadOnlySpan<BoardPin> pins, Span<Level> levels)
    {
        if (_pairs.Length < pins.Length)
            _pairs = new PinValuePair[pins.Length];
        var pairs = _pairs.AsSpan(0, pins.Length);
        for (var pin = 0; pin < pins.Length; pin++)
            pairs[pin] = new(pins[pin].Number, PinValue.Low);
        // One transfer for all, where the driver can.
        Controller.Read(pairs);
        for (var pin = 0; pin < pins.Length; pin++)
            levels[pin] = pairs[pin].PinValue == PinValue.High ? Level.High : Level.Low;
    }

    /// <summary>Reads voltages. The readings carry <see cref="Instant.Start"/>.</summary>
    /// <param name="goOn">Called between conversions; false ends the reading, with what there is.</param>
    public virtual ImmutableArray<LevelReading> ReadVolts(ImmutableArray<BoardPin> pins, int samples, Func<bool> goOn) =>
        pins.IsEmpty ? [] : throw new InvalidOperationException($"{Name} reads no voltages.");

    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }

    protected virtual void Dispose(bool disposing)
    {
        if (disposing)
            Controller.Dispose();
    }

    protected void SetMode(BoardPin pin, PinMode mode)
    {
        // Asked of the driver: one that failed half-way knows best what it has opened.
        if (Controller.IsPinOpen(pin.Number))
            Controller.SetPinMode(pin.Number, mode);
        else
            Controller.OpenPin(pin.Number, mode);
    }

    protected static PinValue ValueOf(Level level) => level == Level.High ? PinValue.High : PinValue.Low;

    /// <summary>What the driver says each of its pins can do.</summary>
    protected static ImmutableArray<BoardPin> PinsOf(GpioController controller, Func<int, string> name) =>
    [
        .. Enumerable.Range(0, controller.PinCount)
            .Select(number => new BoardPin(
                name(number), number,
                controller.IsPinModeSupported(number, PinMode.Input),
                controller.IsPinModeSupported(number, PinMode.Output),
                controller.IsPinModeSupported(number, PinMode.InputPullUp),
                controller.IsPinModeSupported(number, PinMode.InputPullDown),
                null))
            .Where(pin => pin.IsInput || pin.IsOutput),
    ];
}
