using TestRig.Bench.Reporting;
using TestRig.Bench.Serving;
using TestRig.Bench.Soaking;
using TestRig.Core.Judging;
using TestRig.Service;

namespace TestRig.Pages;

/// <summary>Benches and what they do, in words.</summary>
internal static class BenchWords
{
    public static string Of(AdapterStanding standing) => standing switch
    {
        AdapterStanding.Unknown => "adapter not looked for",
        AdapterStanding.Attached => "adapter attached",
        AdapterStanding.InUse => "adapter connected",
        AdapterStanding.Gone => "adapter gone",
        AdapterStanding.Simulated => "SIMULATED, no board",
        _ => throw new ArgumentOutOfRangeException(nameof(standing), standing, "Unknown standing."),
    };

    public static BadgeKind Mark(AdapterStanding standing) => standing switch
    {
        AdapterStanding.Attached or AdapterStanding.InUse => BadgeKind.Good,
        AdapterStanding.Gone => BadgeKind.Bad,
        _ => BadgeKind.Open,
    };

    public static BadgeKind Mark(Condition condition) => condition switch
    {
        Condition.Working => BadgeKind.Good,
        Condition.NotTested => BadgeKind.Open,
        _ => BadgeKind.Bad,
    };

    public static BadgeKind Mark(JobState state) => state switch
    {
        JobState.Done => BadgeKind.Good,
        JobState.Failed or JobState.Refused => BadgeKind.Bad,
        _ => BadgeKind.Open,
    };

    /// <summary>Somebody with a lead is asked where its tip is; or something runs that is stopped otherwise.</summary>
    public const string Asked = "asked", Running = "running";

    /// <summary>Which parts of the page can be used now; empty for none.</summary>
    public static string State(BenchNow bench) => bench.Probe?.Question is not null ? Asked : bench.Running is not null ? Running : "";

    /// <summary>"armed until 06:00, logic only".</summary>
    public static string Armed(Arming? arming) =>
        arming is null ? "not armed" : $"armed until {Words.At(arming.Until.ToLocalTime())}, {(arming.AllowMotion ? "the machine may move" : "logic only")}";

    /// <summary>"1 240 cycles, 3 failing; 2.1 h left".</summary>
    public static string Progress(LiveSoak soak) =>
        $"{SoakWords.Cycles(soak.Cycles)}, {SoakWords.Number(soak.FailingCycles)} failing; {(soak.LeftHours is { } left ? $"{SoakWords.Hours(left)} left" : "time left not known yet")}; {SoakWords.Bytes(soak.DiskBytes)} of disk";

    /// <summary>"4 of 6 channels judged, 1 faulty".</summary>
    public static string Progress(LiveSweep sweep) =>
        $"{sweep.Judged.Length} of {Words.Count(sweep.Of, "channel")} judged, {sweep.Judged.Count(channel => Mark(channel.Condition) == BadgeKind.Bad)} faulty";
}
