namespace TestRig.Bench.Tests.Storage;

internal enum Trouble
{
    /// <summary>The statement is not sent, and its transaction undone.</summary>
    Away,

    /// <summary>Who waits for it gives it up.</summary>
    Cancelled,

    /// <summary>The transaction is done, and nobody hears of it.</summary>
    AnswerLost,
}
