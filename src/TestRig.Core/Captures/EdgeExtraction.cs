using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace TestRig.Core.Captures;

/// <summary>
/// Finds the changes in packed samples: one byte a sample, one bit a line, one sample a tick. Works on a stream in buffers of any length and
/// alignment; the last sample of one buffer is what the first of the next is compared with.
/// </summary>
/// <remarks>
/// Most samples of a bench capture repeat the one before, so the speed is that of reading memory: whole blocks are compared with themselves shifted
/// by one sample and skipped when nothing differs. Where something does, a few changes are found by bit scan and many by table.
/// </remarks>
public sealed class EdgeExtraction
{
    private const int Block = 4 * 32;

    /// <summary>From this many changes in 32 samples on, four table look-ups are cheaper than scanning for each change (measured).</summary>
    private const int DenseFrom = 3;

    /// <summary>For each pattern of changes in 8 samples, the offsets of the changed samples, packed to the front.</summary>
    private static readonly int[] OffsetTable = BuildOffsetTable();

    /// <summary>The same offsets as bytes, for packing the sample values.</summary>
    private static readonly byte[] PackingTable = Array.ConvertAll(OffsetTable, offset => (byte)offset);

    private byte _last;

    /// <summary>True once a first sample was seen. The first sample is a level, not a change.</summary>
    public bool Started { get; private set; }

    /// <summary>Samples consumed so far, over all buffers. Position p of a call's result is sample number (value before the call) + p.</summary>
    public long SamplesConsumed { get; private set; }

    /// <summary>The last sample consumed: the levels of the eight lines now. Zero before the first.</summary>
    public byte Last => _last;

    /// <summary>Extracts changes until the samples are used up or the result is full.</summary>
    /// <param name="samples">The next samples of the stream.</param>
    /// <param name="positions">Receives, ascending, the position in <paramref name="samples"/> of each sample that differs from the one before it.</param>
    /// <param name="values">Receives the sample at each of those positions; the changed lines are those where it differs from the value before.</param>
    /// <param name="consumed">How many samples were taken. Fewer than given only when the result is full: call again with the rest.</param>
    /// <returns>How many changes were written.</returns>
    /// <exception cref="ArgumentException">The two result spans differ in length, or are empty.</exception>
    public int Extract(ReadOnlySpan<byte> samples, Span<int> positions, Span<byte> values, out int consumed)
    {
        if (positions.Length != values.Length || positions.IsEmpty)
            throw new ArgumentException($"room for positions ({positions.Length}) and for values ({values.Length}) must be equal and not zero", nameof(positions));

        consumed = 0;
        if (samples.IsEmpty)
            return 0;
        if (!Started)
        {
            Started = true;
            _last = samples[0];
        }
        var found = 0;
        // The first sample alone is compared with the buffer before; from here on the sample before is in this buffer.
        if (samples[0] != _last)
        {
            positions[0] = 0;
            values[0] = samples[0];
            found = 1;
        }
        consumed = 1;
        if (Vector256.IsHardwareAccelerated)
            found = ExtractBlocks(samples, positions, values, found, ref consumed);
        found = ExtractOneByOne(samples, samples.Length, positions, values, found, ref consumed);
        _last = samples[consumed - 1];
        SamplesConsumed += consumed;
        return found;
    }

    private static int ExtractBlocks(ReadOnlySpan<byte> samples, Span<int> positions, Span<byte> values, int found, ref int next)
    {
        unchecked
        {
            ref var start = ref MemoryMarshal.GetReference(samples);
            var at = next;
            while (samples.Length - at >= Block)
            {
                ref var here = ref Unsafe.Add(ref start, at);
                var d0 = Differences(ref here, 0);
                var d1 = Differences(ref here, 32);
                var d2 = Differences(ref here, 64);
                var d3 = Differences(ref here, 96);
                if (((d0 | d1) | (d2 | d3)) == Vector256<byte>.Zero)
                {
                    at += Block;
                    continue;
                }
                // Table stores write 8 entries at a time, so a block needs 7 entries of room beyond its own.
                if (positions.Length - found < Block + 7)
                {
                    found = ExtractOneByOne(samples, at + Block, positions, values, found, ref at);
                    if (found == positions.Length)
                        break;
                    continue;
                }
                found = Collect(d0, ref start, at, positions, values, found);
                found = Collect(d1, ref start, at + 32, positions, values, found);
                found = Collect(d2, ref start, at + 64, positions, values, found);
                found = Collect(d3, ref start, at + 96, positions, values, found);
                at += Block;
            }
            // The last part of a block by single vectors, so that few samples are left for the plain loop.
            while (samples.Length - at >= 32 && positions.Length - found >= 32 + 7)
            {
                found = Collect(Differences(ref Unsafe.Add(ref start, at), 0), ref start, at, positions, values, found);
                at += 32;
            }
            next = at;
            return found;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<byte> Differences(ref byte here, int offset) => unchecked(
        Vector256.LoadUnsafe(ref here, (nuint)offset) ^ Vector256.LoadUnsafe(ref Unsafe.Add(ref here, offset - 1)));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Collect(Vector256<byte> differences, ref byte start, int at, Span<int> positions, Span<byte> values, int found)
    {
        unchecked
        {
            var changed = ~Vector256.Equals(differences, Vector256<byte>.Zero).ExtractMostSignificantBits();
            if (changed == 0)
                return found;
            ref var position = ref MemoryMarshal.GetReference(positions);
            ref var value = ref MemoryMarshal.GetReference(values);
            if (BitOperations.PopCount(changed) < DenseFrom)
            {
                do
                {
                    var index = at + BitOperations.TrailingZeroCount(changed);
                    Unsafe.Add(ref position, found) = index;
                    Unsafe.Add(ref value, found) = Unsafe.Add(ref start, index);
                    found++;
                    changed &= changed - 1;
                }
                while (changed != 0);
                return found;
            }
            ref var offsets = ref MemoryMarshal.GetArrayDataReference(OffsetTable);
            ref var packing = ref MemoryMarshal.GetArrayDataReference(PackingTable);
            for (var group = 0; group < 32; group += 8)
            {
                var pattern = changed >> group & 0xFF;
                var row = (nuint)(pattern * 8);
                (Vector256.LoadUnsafe(ref offsets, row) + Vector256.Create(at + group)).StoreUnsafe(ref position, (nuint)found);
                var eight = Unsafe.ReadUnaligned<ulong>(ref Unsafe.Add(ref start, at + group));
                var order = Unsafe.ReadUnaligned<ulong>(ref Unsafe.Add(ref packing, row));
                var packed = Vector128.ShuffleNative(Vector128.CreateScalar(eight).AsByte(), Vector128.CreateScalar(order).AsByte());
                Unsafe.WriteUnaligned(ref Unsafe.Add(ref value, found), packed.AsUInt64().ToScalar());
                found += BitOperations.PopCount(pattern);
            }
            return found;
        }
    }

    private static int ExtractOneByOne(ReadOnlySpan<byte> samples, int end, Span<int> positions, Span<byte> values, int found, ref int next)
    {
        for (; next < end && found < positions.Length; next++)
        {
            if (samples[next] == samples[next - 1])
                continue;
            positions[found] = next;
            values[found] = samples[next];
            found++;
        }
        return found;
    }

    private static int[] BuildOffsetTable()
    {
        var table = new int[256 * 8];
        for (var pattern = 0; pattern < 256; pattern++)
        {
            var entry = pattern * 8;
            for (var bit = 0; bit < 8; bit++)
            {
                if ((pattern >> bit & 1) != 0)
                    table[entry++] = bit;
            }
        }
        return table;
    }
}
