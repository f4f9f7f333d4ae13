namespace TestRig.Service;

/// <summary>A parameter of a request cannot be understood. The message names it and what would be right.</summary>
internal sealed class BadQueryException(string message) : Exception(message);
