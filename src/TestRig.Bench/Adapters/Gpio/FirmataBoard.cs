using System.Collections.Immutable;
using System.Device.Analog;
using System.Device.Gpio;
using System.Globalization;
using Iot.Device.Arduino;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// A board with Firmata 2.5 or later behind a stream. It reports inputs when they change, in the order of its other answers, so that a look is a question whose
/// answer comes behind all reports: what it tells was read at some instant since the question before. Driven pins are not reported.
/// </summary>
internal sealed class FirmataBoard : PinBoard
{
    /// <summary>The first answer of a board that its port has just reset; some wait two seconds for a new program first.</summary>
    private static readonly TimeSpan _openingPatience = TimeSpan.FromSeconds(8);

    private static readonly TimeSpan _samplingInterval = TimeSpan.FromMilliseconds(10);

    /// <summary>Of a supply that serves as the converter's reference (common practice); Firmata does not tell which it is.</summary>
    private const double ReferenceVolts = 5, ReferenceTolerance = 0.05;

    /// <summary>In steps.</summary>
    private const double ConverterInaccuracy = 2;

    private readonly ArduinoBoard _board;
    private readonly AnalogController _analog;
    private readonly FirmataFence _fence;
    private readonly ImmutableDictionary<int, int> _converterBits;
    private readonly int _anyPin;

    private FirmataBoard(ArduinoBoard board, GpioController controller, FirmataFence fence, string place)
        : base(controller, place, $"Firmata board ({board.FirmwareName})", string.Create(CultureInfo.InvariantCulture, $"{board.FirmwareVersion}, Firmata {board.FirmataVersion}"))
    {
        (_board, _fence) = (board, fence);
        _analog = board.CreateAnalogController(0);
        var pins = board.SupportedPinConfigurations;
        _converterBits = pins.ToImmutableDictionary(pin => pin.Pin, pin => pin.AnalogInputResolutionBits);
        Pins = [.. pins.Select(PinOf).OfType<BoardPin>()];
        _anyPin = Pins[0].Number;
    }

    public override ImmutableArray<BoardPin> Pins { get; }

    public override bool ReadsLinesBack => false;

    /// <summary>Older builds of the firmware put a pin at low before they make it an output.</summary>
    public override bool ArmsHighCleanly => false;

    public override int LooksBehind => 1;

    /// <summary>Twice the interval: a report may just have gone.</summary>
    public override Duration SampleTime => Duration.FromMilliseconds(2 * (long)_samplingInterval.TotalMilliseconds);

    /// <param name="port">Taken over, also when it throws.</param>
    /// <exception cref="AdapterException">Nothing behind the port speaks Firmata 2.5 or later.</exception>
    public static FirmataBoard Open(SerialLinkPort port, string place, int baudRate)
    {
        var stream = new LinkStream(port);
        var board = new ArduinoBoard(stream);
        // The driver itself asks for 40 s.
        using var limit = new Timer(_ => stream.Dispose(), null, _openingPatience, Timeout.InfiniteTimeSpan);
        try
        {
            var controller = board.CreateGpioController();
            limit.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
            var fence = new FirmataFence();
            board.AddCommandHandler(fence);
            board.SetAnalogInputSamplingInterval(_samplingInterval);
            return board.SupportedPinConfigurations.Any(pin => pin.PinModes.Contains(SupportedMode.DigitalInput))
                ? new(board, controller, fence, place)
                : throw new AdapterException(AdapterFault.NotAnAdapter, $"The Firmata board on {port.Name} says that it has no digital pins. Put a build of the firmware on it that knows the board.");
        }
        catch (NotSupportedException old)
        {
            board.Dispose();
            throw new AdapterException(AdapterFault.WrongVersion, $"The board on {port.Name} speaks Firmata, but too old a version: {old.Message.TrimEnd('.')}. Put a newer firmware on the board.", old);
        }
        catch (Exception cause) when (cause is IOException or TimeoutException or ObjectDisposedException or InvalidOperationException)
        {
            board.Dispose();
            throw new AdapterException(
                AdapterFault.NotAnAdapter,
                string.Create(CultureInfo.InvariantCulture, $"Nothing on {port.Name} answers as a Firmata board at {baudRate} bit/s. Put the Firmata firmware (2.5 or later) on the board, or name its speed, e.g. gpio:firmata:{port.Name}@{(baudRate == 115_200 ? FirmataPins.UsualBaudRate : 115_200)}. A board with TestRig's own firmware is opened with serial:{port.Name}."),
                cause);
        }
        catch
        {
            board.Dispose();
            throw;
        }
    }

    /// <summary>Four times what was measured under load, and a second at least: of a board that answers late the lines can still be switched.</summary>
    public override void Expect(LookTimes times) =>
        _fence.Patience = TimeSpan.FromMilliseconds(Math.Clamp(4 * times.Longest.ToSeconds() * 1e3, 1000, 3000));

    public override void ToOutput(BoardPin pin, Level level)
    {
        // A pull-up holds the pin at high until it is an output, and in most builds its driver then starts at that level.
        if (level == Level.High && pin.PullsUp)
            PullUp(pin);
        SetMode(pin, PinMode.Output);
        Write(pin, level);
    }

    public override void Write(BoardPin pin, Level level)
    {
        base.Write(pin, level);
        _fence.Pass(_anyPin);
    }

    public override void Look(ReadOnlySpan<BoardPin> pins, Span<Level> levels)
    {
        _fence.Pass(_anyPin);
        base.Look(pins, levels);
    }

    public override ImmutableArray<LevelReading> ReadVolts(ImmutableArray<BoardPin> pins, int samples, Func<bool> goOn)
    {
        if (pins.IsEmpty)
            return [];
        var counts = pins.ToDictionary(pin => pin.Number, _ => new List<uint>());
        var opened = new List<AnalogInputPin>();
        try
        {
            foreach (var pin in pins)
            {
                var input = _analog.OpenPin(pin.Number);
                opened.Add(input);
                input.ValueChanged += (_, reading) =>
                {
                    // A driver raises this for every pin's reports.
                    if (reading.PinNumber == pin.Number)
                    {
                        lock (counts)
                            counts[pin.Number].Add(reading.RawValue);
                    }
                };
                input.EnableAnalogValueChangedEvent(null, 0);
            }
            // The first report of each pin may be from before it was asked for.
            var most = samples + 1;
            var until = Environment.TickCount64 + (long)(SampleTime.ToSeconds() * 1e3 * 4 * most) + 2000;
            while (goOn() && Fewest(counts) < most)
            {
                if (Environment.TickCount64 > until)
                    throw new TimeoutException($"no voltage came from {string.Join(", ", pins.Where(pin => Count(counts, pin.Number) < most).Select(pin => pin.Name))}.");
            }
        }
        finally
        {
            foreach (var input in opened)
            {
                input.DisableAnalogValueChangedEvent();
                _analog.ClosePin(input);
            }
        }
        foreach (var pin in pins)
            ToInput(pin);
        lock (counts)
        {
            return
            [
                .. pins.Where(pin => counts[pin.Number].Count > 1)
                    .Select(pin => Reading(pin, [.. counts[pin.Number].Skip(1).Take(samples).Select(count => (double)count)])),
            ];
        }
    }

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            base.Dispose(disposing);
            _analog.Dispose();
            _board.Dispose();
        }
    }

    private static int Fewest(Dictionary<int, List<uint>> counts)
    {
        lock (counts)
            return counts.Values.Min(list => list.Count);
    }

    private static int Count(Dictionary<int, List<uint>> counts, int pin)
    {
        lock (counts)
            return counts[pin].Count;
    }

    /// <summary>Firmata does not tell what the converter is worth; the chips of these boards have one that is within 2 steps (Microchip DS40002011A, Table 33-12, of sister parts).</summary>
    private LevelReading Reading(BoardPin pin, double[] counts)
    {
        var step = ReferenceVolts / (1 << _converterBits[pin.Number]);
        var (mean, smallest, largest) = (counts.Average() * step, counts.Min() * step, counts.Max() * step);
        return LevelReading.With(
            pin.Name, Instant.Start, new(mean), new(smallest), new(largest), counts.Length,
            LevelUnknowns.Of(mean, largest - smallest, counts.Length, ReferenceTolerance, step, ConverterInaccuracy));
    }

    /// <summary>Named as the boards are marked: A0, A1, … where the pin reads voltages, else D2, D3, … Null for a pin that is neither input nor output.</summary>
    private static BoardPin? PinOf(SupportedPinConfiguration pin)
    {
        bool Can(SupportedMode mode) => pin.PinModes.Contains(mode);
        if (!Can(SupportedMode.DigitalInput) && !Can(SupportedMode.DigitalOutput))
            return null;
        int? channel = Can(SupportedMode.AnalogInput) ? pin.AnalogPinNumber : null;
        return new(
            string.Create(CultureInfo.InvariantCulture, $"{(channel is null ? 'D' : 'A')}{channel ?? pin.Pin}"), pin.Pin,
            Can(SupportedMode.DigitalInput), Can(SupportedMode.DigitalOutput), Can(SupportedMode.InputPullup), PullsDown: false, channel);
    }
}
