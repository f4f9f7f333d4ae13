namespace TestRig.Bench.Plotting;

/// <summary>No font is installed that could label a picture. The message says what to install.</summary>
public sealed class PlotFontException(string message) : Exception(message);
