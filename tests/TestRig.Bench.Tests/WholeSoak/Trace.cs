namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Everything that happened, as one number, and the last of it in words.</summary>
/// <param name="all">Gets every line; null where the last ones are enough.</param>
internal sealed class Trace(TextWriter? all)
{
    private const int Kept = 400;

    private readonly Queue<string> _tail = new(Kept);

    /// <summary>FNV-1a, 64 bits, over every line so far.</summary>
    public ulong Hash { get; private set; } = 14695981039346656037;

    public long Count { get; private set; }

    public IEnumerable<string> Tail => _tail;

    public void Add(string line)
    {
        unchecked
        {
            foreach (var letter in line)
                Hash = (Hash ^ letter) * 1099511628211;
            Hash = (Hash ^ '\n') * 1099511628211;
        }
        Count++;
        all?.WriteLine(line);
        if (_tail.Count == Kept)
            _tail.Dequeue();
        _tail.Enqueue(line);
    }
}
