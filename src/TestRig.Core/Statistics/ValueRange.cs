namespace TestRig.Core.Statistics;

/// <summary>Within what values lay for a while.</summary>
/// <param name="From">The time of the first.</param>
/// <param name="To">The time of the last.</param>
public readonly record struct ValueRange(double From, double To, double Least, double Most)
{
    /// <param name="later">What followed it.</param>
    public ValueRange With(ValueRange later) => new(From, later.To, Math.Min(Least, later.Least), Math.Max(Most, later.Most));
}
