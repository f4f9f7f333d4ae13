Console.WriteLine("testrig");
