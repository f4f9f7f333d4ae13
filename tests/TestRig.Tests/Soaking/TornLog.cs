using System.Buffers.Binary;

namespace TestRig.Tests.Soaking;

/// <summary>SQLite's write-ahead log, read by its published format (sqlite.org/fileformat2.html, "The Write-Ahead Log").</summary>
internal static class TornLog
{
    private const int HeaderBytes = 32, FrameHeaderBytes = 24;

    /// <summary>Whether the last pages that belong to the log's present round have no commit behind them: their transaction was cut off.</summary>
    public static bool IsIn(string file)
    {
        var log = File.Exists(file) ? File.ReadAllBytes(file) : [];
        if (log.Length < HeaderBytes)
            return false;
        var page = (int)BinaryPrimitives.ReadUInt32BigEndian(log.AsSpan(8));
        var salts = log.AsSpan(16, 8);
        var torn = false;
        for (var at = HeaderBytes; at + FrameHeaderBytes + page <= log.Length && log.AsSpan(at + 8, 8).SequenceEqual(salts); at += FrameHeaderBytes + page)
            torn = BinaryPrimitives.ReadUInt32BigEndian(log.AsSpan(at + 4)) == 0;
        return torn;
    }
}
