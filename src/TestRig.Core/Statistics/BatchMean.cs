namespace TestRig.Core.Statistics;

/// <summary>
/// The mean of a series, and how well it is known where neighbouring values may be alike: from the scatter of the means of batches of consecutive values, which are alike much less (method of batch means; Law and Kelton,
/// Simulation Modeling and Analysis: value from memory). Of few values each is a batch.
/// </summary>
/// <param name="StandardError">Of the mean, in the values' unit; at least 0.</param>
/// <param name="Degrees">Of freedom: batches less one, at least 1.</param>
public sealed record BatchMean(double Mean, double StandardError, double Degrees)
{
    /// <summary>More make the batches shorter and more alike, and the error hardly better known (common practice: 20 to 30).</summary>
    private const int MostBatches = 30;

    /// <summary>Null of fewer than two values. Fewer than a batch at the end are left out.</summary>
    /// <param name="values">In the order of their time.</param>
    public static BatchMean? Of(IReadOnlyList<double> values)
    {
        if (values.Count < 2)
            return null;
        var length = (values.Count + MostBatches - 1) / MostBatches;
        var batches = new RunningMean();
        for (var from = 0; from + length <= values.Count; from += length)
        {
            var sum = 0.0;
            for (var i = from; i < from + length; i++)
                sum += values[i];
            batches.Add(sum / length);
        }
        return new(batches.Mean, batches.StandardDeviation!.Value / Math.Sqrt(batches.Count), batches.Count - 1);
    }
}
