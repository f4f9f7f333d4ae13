using System.Collections.Frozen;
using System.Collections.Immutable;
using System.Text;
using TestRig.Core.Link;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The pins as the firmware has them, by number.</summary>
internal static class FirmwarePins
{
    public static ImmutableArray<(string Name, PinCapabilities Can)> All { get; } = Read();

    public static ImmutableArray<string> Analog { get; } = [.. All.Where(pin => pin.Can.HasFlag(PinCapabilities.Analog)).Select(pin => pin.Name)];

    public static int SnapshotBytes => (All.Length + 7) / 8;

    private static readonly FrozenDictionary<string, byte> _numbers = All.Select((pin, number) => (pin.Name, Number: (byte)number)).ToFrozenDictionary(pin => pin.Name, pin => pin.Number);

    public static byte NumberOf(string name) => _numbers[name];

    /// <summary>Names of the pins in a mask, by number.</summary>
    public static ImmutableArray<string> Of(uint mask) => [.. Enumerable.Range(0, 32).Where(pin => (mask >> pin & 1) == 1).Select(pin => All[pin].Name)];

    private static ImmutableArray<(string Name, PinCapabilities Can)> Read()
    {
        var pins = ImmutableArray.CreateBuilder<(string, PinCapabilities)>();
        var name = new byte[8];
        while (FirmwareLibrary.Pin(pins.Count, out var capabilities, name) is > 0 and var length)
            pins.Add((Encoding.ASCII.GetString(name, 0, length), (PinCapabilities)capabilities));
        return pins.ToImmutable();
    }
}
