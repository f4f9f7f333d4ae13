using System.Collections.Immutable;
using System.Device.Gpio;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>The pins of this computer, through whichever driver the library finds for it. GPIO17 is the driver's number 17.</summary>
internal sealed class ComputerBoard : PinBoard
{
    public ComputerBoard(GpioController controller)
        : base(controller, "this computer", $"this computer's pins ({DriverOf(controller)})", "none")
    {
        Pins = PinsOf(controller, number => string.Create(CultureInfo.InvariantCulture, $"GPIO{number}"));
        // That driver asks the kernel for an output and its level in one request; of the others it is not known.
        ArmsHighCleanly = DriverOf(controller).Contains("LibGpiod", StringComparison.OrdinalIgnoreCase);
    }

    public override ImmutableArray<BoardPin> Pins { get; }

    public override bool ArmsHighCleanly { get; }

    public override Volts PinMaximum => PinVoltage.ThreeVoltMaximum;

    private static string DriverOf(GpioController controller) =>
        controller.QueryComponentInformation().SubComponents is [var driver, ..] ? driver.Name : controller.GetType().Name;
}
