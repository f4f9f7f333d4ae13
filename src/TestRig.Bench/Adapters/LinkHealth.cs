namespace TestRig.Bench.Adapters;

/// <summary>
/// How the bytes between this computer and an adapter fared since it was opened. What arrived damaged was thrown away and never used, so none of this touches a
/// verdict; but a technician wants to know of a bad cable before it ends a run.
/// </summary>
/// <param name="DamagedFromAdapter">Frames, or runs of noise between them, that arrived damaged from the adapter. 0 or more.</param>
/// <param name="DamagedToAdapter">The same on the way to the adapter, by its own count; null when it could not be asked any more.</param>
/// <param name="Overruns">Bytes that came too fast for the adapter's receiver, by its own count; null when it could not be asked any more.</param>
/// <param name="Repeats">Requests that were sent again because no answer came. 0 or more.</param>
public sealed record LinkHealth(long DamagedFromAdapter, long? DamagedToAdapter, long? Overruns, long Repeats)
{
    /// <summary>What can be done about a disturbed link (common practice).</summary>
    public const string Remedy =
        "Use a short, shielded cable away from motor leads, join the grounds of computer, adapter and board at one place, and try another port, without a hub in between.";

    /// <summary>In both directions, as far as known.</summary>
    public long Damaged => DamagedFromAdapter + (DamagedToAdapter ?? 0);

    public bool IsClean => Damaged == 0 && Overruns is null or 0 && Repeats == 0;
}
