namespace TestRig.Bench.Serving;

/// <summary>
/// Somebody at the bench has said that lines may be driven from afar for a while, and answers for what only a person there can see. It can be given at the bench's computer only, not through the service.
/// </summary>
/// <param name="By">Who, as the bench's computer knows them.</param>
/// <param name="At">When; a bench that is armed anew, after it was not, is armed for new jobs only.</param>
/// <param name="Until">From then on nothing is driven.</param>
public sealed record Arming(string Bench, string By, DateTimeOffset At, DateTimeOffset Until)
{
    /// <summary>The machine may move.</summary>
    public bool AllowMotion { get; init; }

    /// <summary>The motor supply is switched off and locked out.</summary>
    public bool MotorIsOff { get; init; }

    /// <summary>Motion is accepted though the profile names no stop input.</summary>
    public bool NoStopInput { get; init; }

    public bool Holds(DateTimeOffset now) => At <= now && now < Until;
}
