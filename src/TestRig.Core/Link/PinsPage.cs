using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>What a pin can do.</summary>
[Flags]
public enum PinCapabilities : byte
{
    None = 0,
    Line = 1,
    Sense = 2,
    Analog = 4,
    Stop = 8,
    Select = 16,
    Fine = 32,
    Crossing = 64,
}

/// <summary>One pin as the device describes it.</summary>
public sealed record PinDescription(PinCapabilities Capabilities, string Name);

/// <summary>OK reply to PINS: as many pins from <paramref name="First"/> on as the frame held.</summary>
public sealed record PinsPage(byte Total, byte First, ImmutableArray<PinDescription> Pins)
{
    public static Parsed<PinsPage> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var total = reader.U8();
        var first = reader.U8();
        var pins = ImmutableArray.CreateBuilder<PinDescription>();
        while (reader.Remaining > 0)
            pins.Add(new((PinCapabilities)reader.U8(), reader.Text()));
        if (reader.TooShort)
            return new("the list of pins ends in the middle of an entry");
        if (first + pins.Count > total)
            return new($"pins {first}..{first + pins.Count - 1} are listed of only {total}");
        return new(new PinsPage(total, first, pins.ToImmutable()));
    }
}
