namespace TestRig.Bench.Files;

/// <summary>How a capture is written for other programs.</summary>
public enum CaptureForm
{
    /// <summary>A value change dump, IEEE 1364-2005 clause 18.</summary>
    Vcd,

    /// <summary>Comma-separated values, RFC 4180.</summary>
    Csv,

    /// <summary>Apache Parquet.</summary>
    Parquet,
}
