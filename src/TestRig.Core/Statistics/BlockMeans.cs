namespace TestRig.Core.Statistics;

/// <summary>
/// An endless series in bounded memory: means of blocks of equally many consecutive values. When there is no room for more, neighbouring blocks are joined and blocks are twice as long from then on. Means, for the
/// mean of a joined block follows exactly from those of its halves; a median does not, without all of its values. A wild value thus shows in one block only, and medians over the blocks are not moved by that.
/// </summary>
public sealed class BlockMeans
{
    private readonly int _most;
    private readonly List<TimedValue> _blocks;
    private readonly List<ValueRange> _ranges;
    private RunningMean _time = new();
    private RunningMean _value = new();
    private ValueRange? _range;
    private double _last = double.NegativeInfinity;

    /// <param name="most">Blocks at most, at least 2 and even; once half of it has been reached, there never are fewer than half.</param>
    /// <exception cref="ArgumentOutOfRangeException">It is not.</exception>
    public BlockMeans(int most)
    {
        if (most < 2 || !int.IsEvenInteger(most))
            throw new ArgumentOutOfRangeException(nameof(most), most, "Blocks are joined in pairs: an even number, at least 2.");
        _most = most;
        (_blocks, _ranges) = (new(most), new(most));
    }

    /// <summary>Values so far.</summary>
    public long Count { get; private set; }

    /// <summary>Values in each block, a power of 2.</summary>
    public int BlockLength { get; private set; } = 1;

    /// <summary>Each block's mean time and mean value, ascending in time. The last values are not in it while they are fewer than a block. It changes as values are added.</summary>
    public IReadOnlyList<TimedValue> Blocks => _blocks;

    /// <summary>Within what the values of each block lay, ascending in time; the last values, too, while they are fewer than a block.</summary>
    public IReadOnlyList<ValueRange> Ranges => _range is { } rest ? [.. _ranges, rest] : _ranges;

    /// <exception cref="ArgumentException">It is not later than the one before.</exception>
    public void Add(TimedValue next)
    {
        if (next.Time <= _last)
            throw new ArgumentException($"The times ascend, but {next.Time} comes after {_last}.", nameof(next));
        _last = next.Time;
        Count++;
        _time.Add(next.Time);
        _value.Add(next.Value);
        var one = new ValueRange(next.Time, next.Time, next.Value, next.Value);
        var range = _range?.With(one) ?? one;
        if (_time.Count < BlockLength)
        {
            _range = range;
            return;
        }
        _blocks.Add(new(_time.Mean, _value.Mean));
        _ranges.Add(range);
        (_time, _value, _range) = (new(), new(), null);
        if (_blocks.Count == _most)
            Join();
    }

    private void Join()
    {
        for (var i = 0; i < _most / 2; i++)
        {
            _ranges[i] = _ranges[2 * i].With(_ranges[(2 * i) + 1]);
            _blocks[i] = new(Middle(_blocks[2 * i].Time, _blocks[(2 * i) + 1].Time), Middle(_blocks[2 * i].Value, _blocks[(2 * i) + 1].Value));
        }
        _blocks.RemoveRange(_most / 2, _most / 2);
        _ranges.RemoveRange(_most / 2, _most / 2);
        BlockLength *= 2;
    }

    private static double Middle(double one, double other) => (one / 2) + (other / 2);
}
