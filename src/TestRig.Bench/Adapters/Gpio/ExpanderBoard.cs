using System.Collections.Immutable;
using System.Device.Gpio;
using System.Device.I2c;
using System.Globalization;
using Iot.Device.Mcp23xxx;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>An MCP23017: sixteen pins, GPA0 to GPA7 and GPB0 to GPB7. It reads what is at a pin, driven or not.</summary>
internal sealed class ExpanderBoard : PinBoard
{
    private const int PinsOfPort = 8;

    /// <param name="device">The chip on its bus; taken over.</param>
    public ExpanderBoard(I2cDevice device, string place)
        : this(new GpioController(new Mcp23017(device)), place)
    {
    }

    private ExpanderBoard(GpioController controller, string place)
        : base(controller, place, "MCP23017", "none") =>
        Pins = PinsOf(controller, number => string.Create(CultureInfo.InvariantCulture, $"GP{(number < PinsOfPort ? 'A' : 'B')}{number % PinsOfPort}"));

    public override ImmutableArray<BoardPin> Pins { get; }

    /// <summary>Its driver turns a pin into an output first and sets its level then.</summary>
    public override bool ArmsHighCleanly => false;
}
