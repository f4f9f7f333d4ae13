namespace TestRig.Bench.Files;

/// <summary>A place in a file. Line and column are 1-based; the default stands for the file as a whole.</summary>
internal readonly record struct Place(int Line, int Column);
