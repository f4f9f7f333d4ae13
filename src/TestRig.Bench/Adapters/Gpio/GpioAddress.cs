using System.Globalization;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>Which pins are meant by what follows "gpio:" on the command line. Nothing here touches a driver.</summary>
public abstract record GpioAddress
{
    /// <summary>How it is written behind "gpio:", one form a line.</summary>
    public const string Forms = "board, firmata:PORT, firmata:PORT@BAUD or mcp23017:BUS:ADDRESS";

    /// <summary>What completes what was begun; PORT, BUS and ADDRESS are the user's.</summary>
    public static IReadOnlyList<string> Beginnings { get; } = ["board", "firmata:", "mcp23017:"];

    private protected GpioAddress()
    {
    }

    /// <param name="problem">What is wrong with it and what would be right; null when nothing is.</param>
    public static GpioAddress? Parse(string text, out string? problem)
    {
        GpioAddress? address = null;
        var (kind, rest) = text.IndexOf(':', StringComparison.Ordinal) is >= 0 and var colon ? (text[..colon], text[(colon + 1)..]) : (text, "");
        problem = null;
        switch (kind)
        {
            case "board" when rest.Length == 0 && !text.Contains(':', StringComparison.Ordinal):
                return new BoardPins();
            case "board":
                problem = "takes nothing behind it: write gpio:board";
                break;
            case "firmata":
                address = FirmataPort(rest, ref problem);
                break;
            case "mcp23017":
                address = Expander(rest, ref problem);
                break;
            default:
                problem = $"is not known: write gpio: and then {Forms}";
                break;
        }
        return address;
    }

    private static FirmataPins? FirmataPort(string rest, ref string? problem)
    {
        var at = rest.LastIndexOf('@');
        var port = at >= 0 ? rest[..at] : rest;
        if (port.Length == 0)
            problem = "names no port: write e.g. gpio:firmata:/dev/ttyACM0 or gpio:firmata:COM3";
        else if (at < 0)
            return new(port, FirmataPins.UsualBaudRate);
        else if (int.TryParse(rest.AsSpan(at + 1), NumberStyles.None, CultureInfo.InvariantCulture, out var baud) && baud is >= 1200 and <= 4_000_000)
            return new(port, baud);
        else
            problem = $"has no such speed as '{rest[(at + 1)..]}': write a number of bits per second from 1200 to 4000000, e.g. gpio:firmata:{port}@115200";
        return null;
    }

    private static ExpanderPins? Expander(string rest, ref string? problem)
    {
        const string example = "gpio:mcp23017:1:0x20";
        if (rest.Split(':') is not [{ Length: > 0 } bus, { Length: > 0 } address])
            problem = $"needs the number of its I²C bus and its address: write e.g. {example}";
        else if (!int.TryParse(bus, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            problem = $"has no bus '{bus}': write the number of the I²C bus, e.g. {example}";
        else if (!IsAddress(address, out var chip))
            problem = $"cannot have the address '{address}': write 0x20 to 0x27, as its pins A0 to A2 are strapped, e.g. {example}";
        else
            return new(number, chip);
        return null;
    }

    /// <summary>0x20 to 0x27: 0100 and the three address pins (Microchip data sheet DS20001952, 3.3.1, value from memory).</summary>
    private static bool IsAddress(string text, out int address) =>
        (text.StartsWith("0x", StringComparison.OrdinalIgnoreCase)
            ? int.TryParse(text.AsSpan(2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out address)
            : int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out address))
        && address is >= 0x20 and <= 0x27;
}

/// <summary>The pins of the computer on which this program runs, numbered as its driver does.</summary>
public sealed record BoardPins : GpioAddress
{
    public override string ToString() => "board";
}

/// <summary>A board with Firmata 2.5 or later behind a serial port.</summary>
/// <param name="BaudRate">Bits per second.</param>
public sealed record FirmataPins(string Port, int BaudRate) : GpioAddress
{
    /// <summary>Of the firmware's standard build.</summary>
    public const int UsualBaudRate = 57_600;

    public override string ToString() => BaudRate == UsualBaudRate ? $"firmata:{Port}" : string.Create(CultureInfo.InvariantCulture, $"firmata:{Port}@{BaudRate}");
}

/// <summary>An MCP23017 on one of this computer's I²C buses.</summary>
/// <param name="Address">0x20..0x27.</param>
public sealed record ExpanderPins(int Bus, int Address) : GpioAddress
{
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"mcp23017:{Bus}:0x{Address:x2}");
}
