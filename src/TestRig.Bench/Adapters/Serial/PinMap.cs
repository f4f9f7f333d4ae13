using System.Collections.Immutable;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>The pins of a device by name, number and analog index, and masks of them.</summary>
internal sealed class PinMap
{
    /// <summary>Masks have 32 bits.</summary>
    private const int MaskBits = 32;

    private readonly ImmutableArray<PinDescription> pins;
    private readonly ImmutableArray<byte> analog;
    private readonly Dictionary<string, byte> numbers = new(StringComparer.Ordinal);

    private PinMap(ImmutableArray<PinDescription> pins)
    {
        this.pins = pins;
        for (var number = 0; number < pins.Length; number++)
            numbers.Add(pins[number].Name, (byte)number);
        analog = [.. Numbers.Where(number => Can(number, PinCapabilities.Analog))];
        Sensed = [.. Numbers.Where(number => Can(number, PinCapabilities.Sense))];
    }

    /// <summary>Numbers of the pins that are looked at during bursts.</summary>
    public ImmutableArray<byte> Sensed { get; }

    public IEnumerable<byte> Numbers => Enumerable.Range(0, pins.Length).Select(number => (byte)number);

    public ImmutableArray<AdapterPin> Described => [.. pins.Select(pin => new AdapterPin(
        pin.Name,
        Line: pin.Capabilities.HasFlag(PinCapabilities.Line),
        Sense: pin.Capabilities.HasFlag(PinCapabilities.Sense),
        Analog: pin.Capabilities.HasFlag(PinCapabilities.Analog),
        Stop: pin.Capabilities.HasFlag(PinCapabilities.Stop),
        Select: pin.Capabilities.HasFlag(PinCapabilities.Select))
    { Fine = pin.Capabilities.HasFlag(PinCapabilities.Fine), Crossing = pin.Capabilities.HasFlag(PinCapabilities.Crossing) })];

    /// <returns>The map, or why the pins contradict the protocol.</returns>
    public static (PinMap? Map, string? Problem) Of(ImmutableArray<PinDescription> pins)
    {
        if (pins.GroupBy(pin => pin.Name, StringComparer.Ordinal).FirstOrDefault(same => same.Count() > 1) is { } twice)
            return (null, $"{twice.Count()} pins are called '{twice.Key}'");
        if (pins.Skip(MaskBits).FirstOrDefault(pin => (pin.Capabilities & (PinCapabilities.Line | PinCapabilities.Select)) != 0) is { } beyond)
            return (null, $"pin {beyond.Name} can be a line or a select pin, but its number is above {MaskBits - 1}");
        return pins.Count(pin => pin.Capabilities.HasFlag(PinCapabilities.Analog)) > MaskBits
            ? (null, $"more than {MaskBits} pins are analog")
            : (new PinMap(pins), null);
    }

    public string Name(byte number) => number < pins.Length ? pins[number].Name : $"pin number {number}";

    public string AnalogName(byte index) => Name(analog[index]);

    /// <exception cref="AdapterException">No such pin, or it cannot do that: says which can.</exception>
    public byte Number(string name, PinCapabilities needed)
    {
        if (!numbers.TryGetValue(name, out var found))
            throw new AdapterException(AdapterFault.Refused, $"The adapter has no pin '{name}'. Pins that can {Kind(needed)}: {Able(needed)}. Correct the pin in the profile.");
        return Can(found, needed)
            ? found
            : throw new AdapterException(AdapterFault.Refused, $"The adapter's pin {name} cannot {Kind(needed)}. Pins that can: {Able(needed)}. Correct the pin in the profile.");
    }

    public uint LineMask(ImmutableArray<string> names) =>
        names.Aggregate(0u, (mask, name) => mask | (1u << Number(name, PinCapabilities.Line)));

    public uint SelectMask(ImmutableArray<string> names) =>
        names.Aggregate(0u, (mask, name) => mask | (1u << Number(name, PinCapabilities.Select)));

    public uint AnalogMask(ImmutableArray<string> names) =>
        names.Aggregate(0u, (mask, name) => mask | (1u << analog.IndexOf(Number(name, PinCapabilities.Analog))));

    public int AnalogCount => analog.Length;

    /// <param name="snapshot">Long enough for all pins.</param>
    public static Level LevelOf(ImmutableArray<byte> snapshot, byte number) => LevelOf(snapshot[number / 8], number);

    /// <param name="port">The byte of the snapshot that holds the pin.</param>
    public static Level LevelOf(byte port, byte number) => (port >> (number % 8) & 1) == 1 ? Level.High : Level.Low;

    private static string Kind(PinCapabilities needed) => needed switch
    {
        PinCapabilities.Line => "drive a line",
        PinCapabilities.Stop => "be a stop input",
        PinCapabilities.Analog => "read a voltage",
        PinCapabilities.Fine => "be stamped by hardware",
        PinCapabilities.Crossing => "be stamped by hardware when its voltage crosses a reference",
        PinCapabilities.Select => "select a multiplexer's input",
        _ => "be sampled",
    };

    private string Able(PinCapabilities needed) => string.Join(", ", Numbers.Where(number => Can(number, needed)).Select(Name));

    private bool Can(byte number, PinCapabilities needed) => pins[number].Capabilities.HasFlag(needed);
}
