using System.Collections.Immutable;
using System.Globalization;

namespace TestRig.Tests;

/// <summary>A chip that the firmware is built for, and an emulated board whose lines and emergency stop tests can use: firmware-notes/wiring.md has the pins.</summary>
/// <param name="FirstPin">Number of the first line's pin; the others follow it.</param>
/// <param name="FirstName">Number in the name of that pin.</param>
/// <param name="Lines">Lines of the board; the pins of two more, which lead nowhere, can select.</param>
/// <param name="EmergencyStop">Number of the pin of the emergency stop's sense contact, high while healthy.</param>
/// <param name="StepSpread">Ticks from the earliest that a line can change after its step to the latest: firmware-notes/timing.md, "When things happen".</param>
/// <param name="Analog">Pins that read voltages.</param>
/// <param name="MostLevels">Level records that a burst can hold.</param>
internal sealed record EmulatedChip(
    string Name, int FirstPin, int FirstName, int Lines, byte EmergencyStop, string EmergencyStopName, int StepSpread, int Analog, int MostLevels, string LinesBoard)
{
    public const string Mega2560Name = "atmega2560";
    public const string Mega328PName = "atmega328p";

    public static EmulatedChip Mega2560 { get; } = new(
        Mega2560Name, FirstPin: 0, FirstName: 22, Lines: 6, EmergencyStop: 46, EmergencyStopName: "D43", StepSpread: 113 - 7, Analog: 16, MostLevels: 48, Repository.DomeBoard);

    public static EmulatedChip Mega328P { get; } = new(
        Mega328PName, FirstPin: 2, FirstName: 2, Lines: 4, EmergencyStop: 12, EmergencyStopName: "D12", StepSpread: 98 - 7, Analog: 8, MostLevels: 12, Repository.TestBoard("lines-328p.board"));

    public string Firmware => Repository.Firmware(Name);

    public ImmutableArray<int> LinePins => [.. Enumerable.Range(FirstPin, Lines)];

    public uint AllLines => ((1u << Lines) - 1) << FirstPin;

    public uint SelectPins => 3u << FirstPin + Lines;

    public static EmulatedChip Of(string name) => name == Mega328PName ? Mega328P : Mega2560;

    public string LineName(int pin) => $"D{FirstName + pin - FirstPin}";

    public int LinePin(string name) => int.Parse(name.AsSpan(1), CultureInfo.InvariantCulture) - FirstName + FirstPin;
}
