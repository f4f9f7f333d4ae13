namespace TestRig.Service;

/// <summary>The results that were asked for last: whoever looks at a run asks for the same again and again, and to read and judge it takes a second.</summary>
/// <param name="most">So many are held. Each may be some megabytes.</param>
internal sealed class RecentResults<TKey, TValue>(int most)
    where TKey : notnull
    where TValue : class
{
    private readonly Lock _lock = new();

    /// <summary>The one that was asked for last stands last.</summary>
    private readonly List<(TKey Key, TValue Value)> _held = [];

    /// <summary>Null where it is not held.</summary>
    public TValue? Find(TKey key)
    {
        lock (_lock)
        {
            var index = _held.FindIndex(held => held.Key.Equals(key));
            if (index < 0)
                return null;
            var found = _held[index];
            _held.RemoveAt(index);
            _held.Add(found);
            return found.Value;
        }
    }

    public void Hold(TKey key, TValue value)
    {
        lock (_lock)
        {
            _held.RemoveAll(held => held.Key.Equals(key));
            _held.Add((key, value));
            if (_held.Count > most)
                _held.RemoveAt(0);
        }
    }
}
