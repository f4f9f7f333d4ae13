using System.Device.Gpio;
using System.Device.I2c;
using System.Globalization;
using TestRig.Bench.Adapters.Serial;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>Opens what an address means. Only here and below are the drivers' assemblies loaded.</summary>
internal static class GpioBoards
{
    /// <exception cref="AdapterException">It is not there, or cannot be used; with the remedy.</exception>
    public static PinBoard Open(GpioAddress address) => address switch
    {
        BoardPins => OpenComputer(),
        FirmataPins firmata => FirmataBoard.Open(SerialLinkPort.Open(firmata.Port, firmata.BaudRate), firmata.Port, firmata.BaudRate),
        ExpanderPins expander => OpenExpander(expander),
        _ => throw new ArgumentOutOfRangeException(nameof(address), address, "An address without pins."),
    };

    private static ComputerBoard OpenComputer()
    {
        try
        {
            var board = new ComputerBoard(new GpioController());
            if (!board.Pins.IsEmpty)
                return board;
            board.Dispose();
        }
        // Each driver that is tried throws what it likes, up to a library that is not there.
        catch (Exception cause) when (cause is not OutOfMemoryException)
        {
            throw new AdapterException(
                AdapterFault.Missing,
                $"This computer shows no pins of its own ({cause.Message.TrimEnd('.')}). On a computer that has some, install libgpiod and let this user into the group gpio; on any other, attach a board and name it, e.g. --adapter gpio:firmata:PORT or serial:PORT.",
                cause);
        }
        throw new AdapterException(AdapterFault.Missing, "This computer's pins can be neither inputs nor outputs. Attach a board and name it, e.g. --adapter gpio:firmata:PORT or serial:PORT.");
    }

    private static ExpanderBoard OpenExpander(ExpanderPins expander)
    {
        var place = string.Create(CultureInfo.InvariantCulture, $"I²C bus {expander.Bus}, address 0x{expander.Address:x2}");
        try
        {
            return new(I2cDevice.Create(new(expander.Bus, expander.Address)), place);
        }
        catch (Exception cause) when (cause is not OutOfMemoryException)
        {
            throw new AdapterException(
                AdapterFault.Missing,
                $"No MCP23017 at {place} ({cause.Message.TrimEnd('.')}). Check that the bus is switched on (on Linux it is /dev/i2c-{expander.Bus}), that this user may open it (group i2c), the chip's supply, and how its pins A0 to A2 are strapped.",
                cause);
        }
    }
}
