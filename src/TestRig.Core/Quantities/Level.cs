namespace TestRig.Core.Quantities;

/// <summary>A logic level as a digital input sees it. Whether the voltage behind it is good enough is a matter of <see cref="LevelClass"/>.</summary>
public enum Level
{
    Low,
    High,
}

public static class LevelExtensions
{
    public static Level Inverted(this Level level) => level == Level.Low ? Level.High : Level.Low;

    /// <summary>"low" or "high".</summary>
    public static string Word(this Level level) => level == Level.Low ? "low" : "high";

    /// <summary>The direction of a transition that ends at this level: "falls" or "rises".</summary>
    public static string ArrivalWord(this Level level) => level == Level.Low ? "falls" : "rises";
}
