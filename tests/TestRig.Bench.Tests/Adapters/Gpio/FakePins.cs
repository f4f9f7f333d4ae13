using System.Device.Gpio;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>
/// A driver of 32 pins with a small card wired to them, in virtual time. The card is described by the test: wires from driven pins to others, each with a delay,
/// and what else drives a pin.
/// </summary>
internal sealed class FakePins(VirtualClock clock) : GpioDriver
{
    private readonly Dictionary<int, PinMode> _modes = [];
    private readonly Dictionary<int, bool> _outputs = [];
    private readonly Dictionary<int, List<(long At, bool High)>> _history = [];
    private readonly Dictionary<int, bool> _floating = [];

    /// <summary>Pin to what is at it: the level at an instant, given the level that a pin had then.</summary>
    public Dictionary<int, Func<long, Func<int, long, bool>, bool>> Card { get; } = [];

    /// <summary>What drives a line while the adapter does not: the card's pull resistors.</summary>
    public Dictionary<int, bool> Pulls { get; } = [];

    /// <summary>How long one read of one pin takes.</summary>
    public long ReadTakes { get; set; } = 10 * VirtualClock.Microsecond;

    public long WriteTakes { get; set; } = 15 * VirtualClock.Microsecond;

    public bool HasPulls { get; init; } = true;

    public bool HasPullDown { get; init; }

    /// <summary>Called before each read, with its number: makes the computer late, or the driver fail.</summary>
    public Action<long>? BeforeRead { get; set; }

    public Action? BeforeWrite { get; set; }

    public long Reads { get; private set; }

    /// <summary>Every level that a pin was driven to, and "in" when it was let go, in order.</summary>
    public List<string> Log { get; } = [];

    public bool IsOutput(int pin) => _modes.GetValueOrDefault(pin, PinMode.Input) == PinMode.Output;

    public bool Driven(int pin) => _outputs[pin];

    /// <summary>How long each stretch lasted in which the pin was driven away from <paramref name="idle"/>.</summary>
    public IEnumerable<Duration> OnTimes(int pin, Level idle)
    {
        long? since = null;
        foreach (var (at, high) in _history[pin])
        {
            var on = high != (idle == Level.High);
            if (on && since is null)
                since = at;
            else if (!on && since is { } started)
            {
                yield return new(at - started);
                since = null;
            }
        }
        if (since is not null)
            yield return new(long.MaxValue);
    }

    protected override int PinCount => 32;

    protected override void OpenPin(int pinNumber)
    {
    }

    protected override void ClosePin(int pinNumber)
    {
    }

    protected override PinMode GetPinMode(int pinNumber) => _modes.GetValueOrDefault(pinNumber, PinMode.Input);

    protected override bool IsPinModeSupported(int pinNumber, PinMode mode) => mode switch
    {
        PinMode.Input or PinMode.Output => true,
        PinMode.InputPullUp => HasPulls,
        PinMode.InputPullDown => HasPulls && HasPullDown,
        _ => false,
    };

    protected override void SetPinMode(int pinNumber, PinMode mode)
    {
        if (mode != PinMode.Output && IsOutput(pinNumber))
        {
            Log.Add($"{pinNumber} in");
            _floating[pinNumber] = _outputs[pinNumber];
        }
        _modes[pinNumber] = mode;
    }

    protected override void SetPinMode(int pinNumber, PinMode mode, PinValue initialValue)
    {
        SetPinMode(pinNumber, mode);
        if (mode == PinMode.Output)
            Drive(pinNumber, initialValue);
    }

    protected override PinValue Read(int pinNumber)
    {
        BeforeRead?.Invoke(++Reads);
        clock.Pass(ReadTakes);
        return LevelAt(pinNumber, clock.Now);
    }

    protected override void Write(int pinNumber, PinValue value)
    {
        BeforeWrite?.Invoke();
        clock.Pass(WriteTakes);
        Drive(pinNumber, value);
    }

    protected override void Toggle(int pinNumber) => Write(pinNumber, !_outputs[pinNumber]);

    protected override WaitForEventResult WaitForEvent(int pinNumber, PinEventTypes eventTypes, CancellationToken cancellationToken) => throw new NotSupportedException();

    protected override void AddCallbackForPinValueChangedEvent(int pinNumber, PinEventTypes eventTypes, PinChangeEventHandler callback) => throw new NotSupportedException();

    protected override void RemoveCallbackForPinValueChangedEvent(int pinNumber, PinChangeEventHandler callback) => throw new NotSupportedException();

    private void Drive(int pin, PinValue value)
    {
        var high = value == PinValue.High;
        if (!_history.TryGetValue(pin, out var history))
            _history[pin] = history = [];
        if (history.Count == 0 || history[^1].High != high || _outputs.GetValueOrDefault(pin) != high)
            Log.Add($"{pin} {(high ? "high" : "low")}");
        _outputs[pin] = high;
        history.Add((clock.Now, high));
    }

    private bool LevelAt(int pin, long at)
    {
        if (IsOutput(pin))
            return WasDriven(pin, at);
        if (Card.TryGetValue(pin, out var driven))
            return driven(at, LineAt);
        if (Pulls.TryGetValue(pin, out var pulled))
            return pulled;
        return _floating[pin] = _modes[pin] switch
        {
            PinMode.InputPullUp => true,
            PinMode.InputPullDown => false,
            _ => _floating.GetValueOrDefault(pin),
        };
    }

    /// <summary>What is on a line: the adapter while it drives, else the card's own pull.</summary>
    private bool LineAt(int pin, long at) => IsOutput(pin) ? WasDriven(pin, at) : Pulls.GetValueOrDefault(pin);

    private bool WasDriven(int pin, long at)
    {
        var high = Pulls.GetValueOrDefault(pin);
        foreach (var (written, level) in _history[pin])
        {
            if (written > at)
                break;
            high = level;
        }
        return high;
    }
}
