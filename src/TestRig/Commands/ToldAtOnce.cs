namespace TestRig.Commands;

/// <summary>Progress that is told at once and in order, on the thread of whoever reports it.</summary>
internal sealed class ToldAtOnce<T>(Action<T> tell) : IProgress<T>
{
    public void Report(T value) => tell(value);
}
