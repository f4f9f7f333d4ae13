using System.CommandLine;

namespace TestRig.Commands;

/// <summary>What the operator answers for, in every command that drives lines.</summary>
internal static class DrivingOptions
{
    public static Option<bool> AllowMotion() => new("--allow-motion") { Description = "Exercise with the motor supply on: the machine moves." };

    public static Option<bool> MotorIsOff() =>
        new("--motor-is-off") { Description = "You have switched the motor supply off; needed where no test point senses it." };

    public static Option<bool> NoStopInput() => new("--no-stop-input") { Description = "Accept motion though the profile names no stop input." };
}
