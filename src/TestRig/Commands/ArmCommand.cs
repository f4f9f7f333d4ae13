using System.CommandLine;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Serving;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig arm and disarm: somebody at the bench lets the service drive it for a while, and answers for what only they can see.</summary>
internal static class ArmCommand
{
    public static Command CreateArm()
    {
        var (benches, bench) = (ServiceInput.Argument(), BenchArgument());
        var length = QuantityOption.Create<TimeSpan?>("--for", "So long, for example 12h; at most 7 days.", "TIME", QuantityText.Span);
        length.Required = true;
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var command = new Command("arm", "At a bench's computer: let the service drive the bench's lines for a while.") { benches, bench, length, motion, motorOff, noStop };
        command.SetAction(parsed =>
        {
            if (ServiceInput.Load(parsed.GetRequiredValue(benches)) is not { } settings)
                return ExitCode.BadUsage;
            var known = Find(settings, parsed.GetRequiredValue(bench));
            var wanted = parsed.GetRequiredValue(length)!.Value;
            if (wanted > ArmingFile.Longest)
                throw new BadUsageException([$"--for is longer than {ArmingFile.Longest.TotalDays:0} days: whoever arms a bench should still know of it when that ends."]);
            if (parsed.GetValue(motion) && !known.Motion)
                throw new BadUsageException([$"The machine of bench '{known.Name}' may not be moved by the service: its 'motion' in {parsed.GetRequiredValue(benches)} is not true."]);
            if (ProfileInput.Load(new FileInfo(known.Profile)) is not { } board)
                return ExitCode.BadUsage;
            var now = TimeProvider.System.GetLocalNow();
            var arming = new Arming(known.Name, Person, now, now + wanted) { AllowMotion = parsed.GetValue(motion), MotorIsOff = parsed.GetValue(motorOff), NoStopInput = parsed.GetValue(noStop) };
            new ArmingFile(settings.ArmingFolder, known.Name).Arm(arming);
            Tell(arming, board);
            return ExitCode.AllWorking;
        });
        return command;
    }

    public static Command CreateDisarm()
    {
        var (benches, bench) = (ServiceInput.Argument(), BenchArgument());
        var command = new Command("disarm", "Stop whatever the service does with a bench, and let it drive no more.") { benches, bench };
        command.SetAction(parsed =>
        {
            if (ServiceInput.Load(parsed.GetRequiredValue(benches)) is not { } settings)
                return ExitCode.BadUsage;
            var known = Find(settings, parsed.GetRequiredValue(bench));
            var screen = TextScreen.OnOutput();
            screen.Say("Disarmed ", new ArmingFile(settings.ArmingFolder, known.Name).Disarm() ? $"{known.Name}. A job that runs ends within two seconds, lines idle." : $"{known.Name} was not armed.");
            return ExitCode.AllWorking;
        });
        return command;
    }

    /// <summary>Whoever arms a bench usually becomes the service's user for it, and the record is to tell who it was (sudo(8), "SUDO_USER").</summary>
    private static string Person => Environment.GetEnvironmentVariable("SUDO_USER") is { Length: > 0 } person ? person : Environment.UserName;

    private static Argument<string> BenchArgument() => new("BENCH") { Description = "The bench, by its name." };

    private static BenchSettings Find(ServiceSettings settings, string bench) =>
        settings.Benches.FirstOrDefault(known => known.Name == bench)
        ?? throw new BadUsageException([$"There is no bench '{bench}': {NearestName.Suggest(bench, settings.Benches.Select(known => known.Name), "benches")}"]);

    private static void Tell(Arming arming, Board board)
    {
        var screen = TextScreen.OnOutput();
        new SweepView(screen).Cautions(board, arming.AllowMotion ? ExerciseMode.Motion : ExerciseMode.LogicOnly);
        screen.Say("CAUTION  ", "From now on somebody who is not here may start a job at any moment, and a schedule too. Whoever works at the machine disarms the bench first.");
        screen.Say("Armed    ", string.Create(CultureInfo.InvariantCulture, $"{arming.Bench}, until {arming.Until:yyyy-MM-dd HH:mm}, {(arming.AllowMotion ? "the machine may move" : "logic only, nothing may move")}. 'testrig disarm' ends it."));
    }
}
