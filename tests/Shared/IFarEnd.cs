namespace TestRig.Tests.Shared;

/// <summary>What is at the far end of a serial line in a test.</summary>
internal interface IFarEnd
{
    /// <summary>The plug is pulled.</summary>
    bool Gone { get; set; }

    /// <summary>Waits a short while for bytes to the host.</summary>
    /// <exception cref="IOException">The plug is pulled.</exception>
    int Read(byte[] buffer);

    /// <summary>Bytes from the host.</summary>
    void Write(ReadOnlySpan<byte> bytes);
}
