namespace TestRig.Bench.Files;

/// <summary>What a run leaves behind could not be written, or not be read again. The message names the place and the remedy.</summary>
public sealed class RunStorageException(string message, Exception? cause = null) : Exception(message, cause);
